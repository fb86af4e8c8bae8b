// Prints every value of every log in the archives beside it, as the npm package `isoxml` decodes them.
//
// usage: node make.mjs > expected.txt      (after npm install --ignore-scripts)
// One line a record: archive, log, `stored` or `filled`, ms since 1970-01-01, the position fields A to I
// as shown (`-` where there are none), and ENTRY_ELEMENT:VALUE for each value, sorted.
import { createRequire } from 'node:module'
import { readFileSync, readdirSync } from 'node:fs'

const require = createRequire(import.meta.url)
const { ISOXMLManager } = require('isoxml')

const FIELDS = ['PositionNorth', 'PositionEast', 'PositionUp', 'PositionStatus', 'PDOP', 'HDOP',
  'NumberOfSatellites', 'GpsUtcTime', 'GpsUtcDate']

const line = (archive, log, kind, record) => {
  const position = FIELDS.map(field => record.position?.[field] ?? '-')
  const values = Object.keys(record.values).sort().map(key => `${key}:${record.values[key]}`)
  return [archive, log, kind, +record.time, ...position, ...values].join(' ')
}

for (const file of readdirSync('.').filter(name => name.endsWith('.zip')).sort()) {
  const archive = file.slice(0, -4)
  const manager = new ISOXMLManager()
  await manager.parseISOXMLFile(readFileSync(file), 'application/zip')
  for (const task of manager.rootElement.attributes.Task ?? []) {
    for (const log of task.attributes.TimeLog ?? []) {
      const name = log.attributes.Filename
      const stored = log.parseBinaryFile()
      for (const record of stored.timeLogs) console.log(line(archive, name, 'stored', record))
      for (const record of log.getFilledTimeLogs()) console.log(line(archive, name, 'filled', record))
      console.log([archive, name, 'errors', log.parsingErrors.length].join(' '))
    }
  }
}
