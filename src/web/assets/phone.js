// Counts septets and parts as they are typed, puts a suggested line into the field, and keeps the newest message in sight.
// The page works without this file: lines are sent by their own buttons then.
"use strict";
const form = document.getElementById("write");
const field = document.getElementById("text");
const count = document.getElementById("count");
const [one, two] = (form ? form.dataset.gsm : "\u2003").split("\u2003").map((letters) => new Set(letters + "\n\r"));

// One part carries 160 septets, joined parts 153 each; where a letter is not in the GSM alphabet, 70 and 67 letters.
function tell() {
  let septets = 0;
  let plain = true;
  for (const letter of field.value) {
    if (one.has(letter)) septets += 1;
    else if (two.has(letter)) septets += 2;
    else plain = false;
  }
  const used = plain ? septets : field.value.length;
  const [alone, joined] = plain ? [160, 153] : [70, 67];
  const parts = used <= alone ? 1 : Math.ceil(used / joined);
  const left = (parts === 1 ? alone : parts * joined) - used;
  const unit = plain ? "" : " (letters outside the GSM alphabet)";
  count.textContent = `${left} left, ${parts} ${parts === 1 ? "part" : "parts"}${unit}`;
}

if (field) field.addEventListener("input", tell);
if (field) field.addEventListener("keydown", (event) => {
  if (event.key === "Enter" && !event.shiftKey && field.value.trim() !== "") {
    event.preventDefault();
    form.requestSubmit();
  }
});
document.querySelector(".try form").addEventListener("submit", (event) => {
  const line = event.submitter && event.submitter.value;
  if (!line || !field) return;
  event.preventDefault();
  field.value = line;
  tell();
  field.focus();
});
document.getElementById("as").addEventListener("change", (event) => event.target.form.requestSubmit());
const thread = document.getElementById("thread");
const newest = () => { if (thread) thread.scrollTop = thread.scrollHeight; };
newest();
// The style may settle after this script has run.
window.addEventListener("load", newest);
if (field) tell();
