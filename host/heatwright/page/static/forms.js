"use strict";
// A document is checked while it is typed, by the same models that read the file.
(() => {
  const say = JSON.parse(document.getElementById("told").textContent).say;
  const form = document.getElementById("document");
  if (!form) return;
  const WAIT_MS = 300;
  const touched = new Set();
  let waiting = 0;
  let asked = 0;

  const node = (name, words) => {
    const made = document.createElement(name);
    made.append(...words);
    return made;
  };

  // --- what is wrong, beside its field ---------------------------------------------------------

  const lines = (fault) =>
    [fault.found && say.found + " " + fault.found, fault.expected && say.expected + " " + fault.expected, fault.cure].filter(Boolean);

  const told = (fault) => {
    const head = node("strong", [[fault.own ? "" : fault.where, fault.what].filter(Boolean).join(": ")]);
    const whole = node("p", ["✗ ", head]);
    lines(fault).forEach((text) => whole.append(node("br", []), text));
    return whole;
  };

  const place = (name, faults) => {
    const room = document.getElementById("e-" + name);
    if (!room) return false;
    const words = faults.map((fault) => told({ ...fault, own: name }));
    if (room.textContent !== words.map((one) => one.textContent).join("")) room.replaceChildren(...words);
    const fields = form.querySelectorAll('[name="' + CSS.escape(name) + '"]');
    fields.forEach((field) => (faults.length ? field.setAttribute("aria-invalid", "true") : field.removeAttribute("aria-invalid")));
    const around = room.closest(".field");
    if (around) around.classList.toggle("wrong", faults.length > 0);
    if (faults.length && room.closest("details")) room.closest("details").open = true;
    return true;
  };

  // what nobody has filled in yet is counted, but not held against them
  const isShown = (name) => {
    const field = form.querySelector('[name="' + CSS.escape(name) + '"]');
    return !field || touched.has(name) || field.value !== "";
  };

  const show = (found) => {
    const all = Object.values(found).flat();
    form.querySelectorAll(".at-fault").forEach((room) => {
      const name = room.id.slice(2);
      place(name, found[name] && isShown(name) ? found[name] : []);
    });
    const count = document.getElementById("count");
    const words = all.length ? say.wrong_count.replace("{count}", all.length) : say.checked;
    if (count.textContent !== words) count.textContent = words;
    count.classList.toggle("sound", all.length === 0);
  };

  const showText = (faults) => {
    const list = document.getElementById("faults");
    list.replaceChildren(
      ...faults.map((fault) => {
        const item = node("li", [node("strong", [fault.what]), " ", fault.where || ""]);
        lines(fault).forEach((text) => item.append(node("br", []), text));
        return item;
      })
    );
  };

  const check = async () => {
    const mine = (asked += 1);
    try {
      const answer = await fetch(form.dataset.check, { method: "POST", body: new URLSearchParams(new FormData(form)) });
      const found = await answer.json();
      // an answer to what was typed before is of no use any more
      if (mine === asked) (Array.isArray(found) ? showText : show)(found);
    } catch {
      // the line at the top of the page says that the link is gone
    }
  };

  form.addEventListener("input", (event) => {
    if (event.target.name) touched.add(event.target.name);
    isChanged = true;
    clearTimeout(waiting);
    waiting = setTimeout(check, WAIT_MS);
  });

  // --- nothing typed is lost by leaving --------------------------------------------------------

  let isChanged = Boolean(form.querySelector("[aria-invalid]"));
  form.addEventListener("submit", () => (isChanged = false));
  addEventListener("beforeunload", (event) => {
    if (isChanged) event.preventDefault();
  });

  // typed before this script was there, or put back by the browser
  const isTyped = (field) => ["INPUT", "TEXTAREA"].includes(field.tagName) && field.type !== "hidden" && field.value !== field.defaultValue;
  const early = [...form.elements].filter(isTyped);
  early.forEach((field) => touched.add(field.name));
  if (early.length) {
    isChanged = true;
    check();
  }

  const first = form.querySelector("[aria-invalid]");
  if (first && !form.querySelector("[autofocus]")) first.focus();
})();
