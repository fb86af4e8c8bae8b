// The Cab: one document, its screens switched by the hash, so that the phone's own back works.

import { Cab } from "./cab.js";
import { h } from "./dom.js";
import { formOf } from "./form.js";
import { EVERY_MS } from "./drain.js";
import { allowed, movingAt, watchMoving } from "./moving.js";
import { applyLight, wantedLanguage } from "./settings.js";
import { language, speak, t } from "./text.js";
import { SCREENS } from "./screens.js";

const cab = new Cab();
const main = /** @type {HTMLElement} */ (document.getElementById("main"));
const say = /** @type {HTMLElement} */ (document.getElementById("say"));
let shown = "";
let opened = Date.now();
let pressed = false;
/** What the screen before mixing asks about. @type {any} */
let question = null;
/** @type {import("./parts.js").Form | null} */
let form = null;

/** Which screen the address asks for. @returns {{name: string, screen: any}} */
function asked() {
  const name = location.pathname.startsWith("/cab") ? location.hash.slice(1) || "home" : "away";
  if (name in SCREENS && SCREENS[name].entry && movingAt(Date.now()) !== null) return { name: "moving", screen: SCREENS.moving };
  return name in SCREENS ? { name, screen: SCREENS[name] } : { name: "home", screen: SCREENS.home };
}

/** What a screen may do. */
const acts = {
  say: (/** @type {string} */ text) => {
    say.textContent = text;
  },
  redraw: () => draw(false),
  /** @param {string} screen */
  go: (screen) => {
    location.hash = screen;
  },
  /** Goes on without leaving the form behind in the history. @param {string} screen */
  replace: (screen) => {
    history.replaceState(null, "", `#${screen}`);
    draw(true);
  },
  back: () => history.back(),
  /** What is still missing: said, and shown on the Save that was tapped. @param {string} text */
  miss: (text) => {
    say.textContent = text;
    const button = main.querySelector(".save");
    button?.querySelector("small")?.remove();
    button?.append(h("small", null, text));
  },
  /** The phone would not keep it: the form stays as it is. @param {string} why */
  fail: (why) => {
    const text = t("Not saved: this phone keeps nothing ({0}). The form stays here; write it on a load card too.", why);
    say.textContent = text;
    main.querySelector("#wrong")?.remove();
    main.querySelector(".flow")?.append(h("p", { class: "wrong", id: "wrong" }, text));
    main.querySelector("#wrong")?.scrollIntoView({ block: "center" });
  },
  /** Puts a question before saving. @param {any} what */
  ask: (what) => {
    question = what;
    location.hash = "mix";
  },
  asked: () => question,
};

/** @param {boolean} fresh  a new screen, not the same one again */
function draw(fresh) {
  const { name, screen } = asked();
  const isNew = fresh || name !== shown;
  const focus = document.activeElement instanceof HTMLElement ? document.activeElement.dataset.k : undefined;
  const caret = document.activeElement instanceof HTMLInputElement ? document.activeElement.selectionStart : null;
  if (isNew) opened = Date.now();
  shown = name;
  form = screen.draft ? formOf(cab, screen.draft, () => draw(false), opened) : null;
  if (isNew && screen.enter) screen.enter(cab, form, acts);
  // the one act of a screen stands below what scrolls, so that it never lies on anything
  const parts = [screen.draw(cab, form, acts)].flat(Infinity).filter(Boolean);
  const act = parts.at(-1)?.classList?.contains("save") ? parts.pop() : null;
  const section = h("section", { class: `scr ${name}${act ? " acts" : ""}`, "aria-labelledby": "title" }, h("div", { class: "flow" }, parts), act);
  const top = isNew ? 0 : (main.querySelector(".flow")?.scrollTop ?? 0);
  if (!isNew && main.firstElementChild?.outerHTML === section.outerHTML && !form) return;
  main.replaceChildren(section);
  const flow = section.querySelector(".flow");
  if (flow) flow.scrollTop = top;
  const title = section.querySelector("#title");
  document.title = `${title?.textContent ?? t("Cab")} · stook`;
  if (isNew) {
    say.textContent = screen.announce?.(cab) ?? "";
    window.scrollTo(0, 0);
    if (fresh) title?.focus({ preventScroll: true });
  } else if (focus) {
    const again = [...section.querySelectorAll("[data-k]")].find((/** @type {any} */ one) => one.dataset.k === focus);
    again?.focus({ preventScroll: true });
    if (caret !== null && again instanceof HTMLInputElement) again.setSelectionRange(caret, caret);
  }
}

/** @type {EventSource | null} */
let live = null;
function listen() {
  if (live && live.readyState !== EventSource.CLOSED) return;
  if (!("EventSource" in globalThis) || document.visibilityState !== "visible") return;
  live = new EventSource("/api/live");
  live.addEventListener("book", () => cab.send(true));
  live.addEventListener("open", () => cab.send(true));
}

/** @type {any} */
let awake = null;
async function keepAwake() {
  const wanted = cab.settings.awake && document.visibilityState === "visible";
  try {
    if (wanted && !awake) {
      awake = await navigator.wakeLock.request("screen");
      awake.addEventListener("release", () => {
        awake = null;
      });
    } else if (!wanted && awake) {
      await awake.release();
    }
  } catch {
    awake = null;
  }
}

async function begin() {
  applyLight();
  await speak(wantedLanguage());
  document.documentElement.lang = language();
  await cab.open();
  draw(false);
  const granted = await allowed();
  const typing = () => document.activeElement instanceof HTMLInputElement || document.activeElement instanceof HTMLTextAreaElement;
  let empty = !cab.snapshot;
  const follow = () => {
    // a tap is never pulled from under the finger
    if (pressed) return void setTimeout(follow, 300);
    const first = empty && cab.snapshot;
    empty = !cab.snapshot;
    // a screen that is being typed on is left alone; its own taps draw it
    if (!typing() && (!form || first)) draw(false);
  };
  cab.addEventListener("changed", () => {
    watchMoving(cab.settings.watch || granted, moved);
    keepAwake();
    follow();
  });
  addEventListener("pointerdown", () => {
    pressed = true;
  });
  for (const end of ["pointerup", "pointercancel"]) addEventListener(end, () => setTimeout(() => {
    pressed = false;
  }, 250));
  const moved = () => {
    if (asked().name !== shown) draw(true);
  };
  watchMoving(cab.settings.watch || granted, moved);
  keepAwake();
  addEventListener("hashchange", () => draw(true));
  addEventListener("online", () => cab.send(true));
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState !== "visible") return;
    cab.send(true);
    listen();
    keepAwake();
  });
  setInterval(() => {
    cab.send();
    if (cab.link.state === "heard") listen();
    moved();
  }, EVERY_MS);
  await cab.send(true);
  if (cab.link.state === "heard") listen();
  if ("serviceWorker" in navigator) navigator.serviceWorker.register("/sw.js", { type: "module" }).catch(() => {});
}

/** For tests and for looking in from outside. */
Object.assign(globalThis, { cab });
begin();
