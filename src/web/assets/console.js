// Loads the page anew when the records have moved on, unless somebody is writing in it. Everything works without this file.
"use strict";
const main = document.querySelector("main[data-mark], [data-mark]");
if (main && "EventSource" in window) {
  const live = new EventSource("/console/live?live=1&mark=" + encodeURIComponent(main.dataset.mark));
  live.addEventListener("moved", () => {
    const writing = document.activeElement && /^(INPUT|TEXTAREA|SELECT)$/.test(document.activeElement.tagName);
    const filled = [...document.querySelectorAll("main input:not([type=hidden]), main textarea")].some((field) => field.value !== field.defaultValue);
    if (!writing && !filled) { live.close(); location.replace(location.pathname + "?live=1"); }
  });
}
