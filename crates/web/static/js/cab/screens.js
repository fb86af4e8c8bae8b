// Every screen by the hash that asks for it.
//
// A screen draws itself: `draw(cab, form, acts)`. `entry` marks one that writes (closed while
// moving), `draft` the half-typed form that it keeps.

import { answer } from "./screens/answer.js";
import { away } from "./screens/away.js";
import { count } from "./screens/count.js";
import { dump } from "./screens/dump.js";
import { field } from "./screens/field.js";
import { home } from "./screens/home.js";
import { mix } from "./screens/mix.js";
import { moving } from "./screens/moving.js";
import { note } from "./screens/note.js";
import { sample } from "./screens/sample.js";
import { saved } from "./screens/saved.js";
import { scale } from "./screens/scale.js";
import { setting } from "./screens/setting.js";
import { settings } from "./screens/settings.js";
import { stop } from "./screens/stop.js";
import { waiting } from "./screens/waiting.js";
import { weighed } from "./screens/weighed.js";

/** @type {Record<string, any>} */
export const SCREENS = { home, load: dump, weighed, scale, mix, count, answer, sample, setting, stop, note, field, saved, waiting, settings, moving, away };
