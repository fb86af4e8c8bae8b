// What every page has alive: the news that the book has grown, and files dropped anywhere.
import "./drop.js";
import { t } from "./text.js";

const news = document.getElementById("news");
if (news && "EventSource" in globalThis && document.querySelector("nav[aria-label]")) {
  let seen = null;
  const live = new EventSource("/api/live");
  live.addEventListener("book", (event) => {
    const { entries } = JSON.parse(event.data);
    if (seen !== null && entries !== seen) {
      news.textContent = "";
      const again = document.createElement("a");
      again.href = location.href;
      again.className = "plain";
      again.textContent = t("The book has grown; read this page again");
      news.append(again);
    }
    seen = entries;
  });
}
if ("serviceWorker" in navigator) navigator.serviceWorker.register("/sw.js", { type: "module" }).catch(() => {});
