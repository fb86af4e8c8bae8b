//! A time log's header and records on arbitrary bytes: it reads or refuses, never panics, and every byte
//! of the records is in a record or counted as left.
#![no_main]

use formats::taskdata::decode;
use libfuzzer_sys::fuzz_target;

/// Put before the records half of the time, so that most of the search is past the header.
const HEADER: &[u8] = br#"<TIM A="" D="4"><PTN A="" B="" C="" D="4" E="" F="" G="" H="" I=""/><DLV A="0057" B="" C="DET-2"/><DLV A="DFFE" B="" C="DET-1" D="65096"/><DLV A="0057" B="7" C="DET-2"/></TIM>"#;

fuzz_target!(|input: (bool, &[u8], &[u8])| {
    let (headed, header, records) = input;
    let header = if headed { HEADER } else { header };
    let Ok(log) = decode("TLG00001", header, records) else {
        return;
    };
    let left = log.cut_short.as_ref().map_or(0, |cut| cut.left);
    let whole = records.len() as u64 - left;
    assert!(log.records.iter().all(|record| record.byte < whole));
    assert_eq!(
        log.records.is_empty(),
        whole == 0,
        "records and bytes disagree"
    );
    let mut filled = log.filled();
    let mut count = 0;
    while let Some((record, values)) = filled.next_record() {
        count += 1;
        assert_eq!(values.len(), log.channels.len());
        for (place, _) in log.stored(record) {
            assert!(
                values[usize::from(*place)].is_some(),
                "a stored value did not hold"
            );
        }
    }
    assert_eq!(count, log.records.len());
    if headed {
        let sized: usize = log
            .records
            .iter()
            .map(|record| 30 + 5 * log.stored(record).len())
            .sum();
        assert_eq!(sized as u64, whole, "a byte vanished");
    }
});
