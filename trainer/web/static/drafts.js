// A try at a problem set: what is typed is kept box by box, and the time left is counted down.
// What the server has not taken yet stays in this browser and is sent again. Every page works without this file.
"use strict";

(() => {
  // Texts that the server has not taken yet, by sheet and step: {text, known}. `known` are the texts that the server may
  // hold without anybody having typed something newer elsewhere.
  const memory = new Map();
  const unsent = {
    name: (sheet, step) => `unsent ${sheet} ${step}`,
    all(sheet) {
      const names = [...memory.keys()];
      try { names.push(...Object.keys(localStorage)); } catch { /* a browser that keeps nothing */ }
      const start = unsent.name(sheet, "");
      return [...new Set(names)].filter((name) => name.startsWith(start)).map((name) => name.slice(start.length));
    },
    get(sheet, step) {
      const name = unsent.name(sheet, step);
      try { return JSON.parse(localStorage.getItem(name)) || memory.get(name); } catch { return memory.get(name); }
    },
    put(sheet, step, entry) {
      const name = unsent.name(sheet, step);
      memory.set(name, entry);
      try { localStorage.setItem(name, JSON.stringify(entry)); } catch { /* it is in memory */ }
    },
    drop(sheet, step) {
      const name = unsent.name(sheet, step);
      memory.delete(name);
      try { localStorage.removeItem(name); } catch { /* nothing was there */ }
    },
  };

  // On the list of problems: where something waits.
  for (const line of document.querySelectorAll("[data-sheet]")) {
    if (!unsent.all(line.dataset.sheet).length) continue;
    const told = document.createElement("strong");
    told.className = "error";
    told.textContent = ` ${line.dataset.unsent}`;
    line.append(told);
    line.parentElement.hidden = false;
    line.hidden = false;
  }

  // The time left.
  const clock = document.querySelector("[data-left]");
  const teller = document.querySelector("#minutes-left");
  let ends = clock ? Date.now() + 1000 * Number(clock.dataset.left) : 0;
  let atEnd = () => {};
  const two = (number) => String(number).padStart(2, "0");
  const shown = (seconds) => {
    const minutes = Math.floor(seconds / 60), hours = Math.floor(minutes / 60);
    return (hours ? `${hours}:${two(minutes % 60)}` : `${minutes}`) + `:${two(seconds % 60)}`;
  };
  if (clock && teller) {
    const GRACE = 31;
    let before = Infinity;
    const tick = () => {
      const seconds = Math.ceil((ends - Date.now()) / 1000);
      clock.textContent = shown(Math.max(0, seconds));
      for (const minutes of [10, 5, 1]) {
        if (before > 60 * minutes && seconds <= 60 * minutes && before !== Infinity) {
          teller.textContent = minutes === 1 ? teller.dataset.one : teller.dataset.many.replace("{n}", minutes);
        }
      }
      if (seconds <= 0 && before > 0) {
        teller.textContent = teller.dataset.over;
        teller.classList.remove("unseen");
        atEnd();
      }
      if (seconds <= -GRACE) {
        clearInterval(ticking);
        location.replace(location.pathname);
      }
      before = seconds;
    };
    const ticking = setInterval(tick, 500);
  }

  // A sheet whose boxes are kept.
  const form = document.querySelector("form[data-keep]");
  if (!form) return;
  const sheet = form.dataset.keep;
  const status = form.querySelector("[data-kept]");
  const steps = new Map([...form.querySelectorAll("[data-step]")].map((line) => [line.dataset.step, line]));
  const FIRST_WAIT = 2000, LONGEST_WAIT = 30000;
  let busy = false, wait = FIRST_WAIT, timer = 0;
  let leaving = null, released = false; // the button that waits for all to be kept

  const say = (text, bad = false) => {
    status.textContent = text;
    status.classList.toggle("error", bad);
  };
  const fields = (step) => {
    const box = `entry.${step}`;
    return [...new FormData(form)].filter(([name]) => name === box || name.startsWith(`${box}-`));
  };
  const typed = (step) => new URLSearchParams(fields(step)).toString();
  const fill = (step, text) => {
    const values = new URLSearchParams(text);
    for (const box of steps.get(step).querySelectorAll("input:not([type=hidden]), select")) {
      if (box.type === "radio" || box.type === "checkbox") box.checked = values.getAll(box.name).includes(box.value);
      else box.value = values.get(box.name) || "";
    }
  };
  const held = new Map([...steps.keys()].map((step) => [step, typed(step)])); // what the server holds, as far as is known

  const note = (step) => {
    const text = typed(step), entry = unsent.get(sheet, step);
    const known = entry ? entry.known : [held.get(step)];
    if (!entry && text === held.get(step)) return;
    unsent.put(sheet, step, { text, known });
  };
  const later = () => {
    leaving = null;
    say(form.dataset.waiting, true);
    clearTimeout(timer);
    timer = setTimeout(send, wait);
    wait = Math.min(2 * wait, LONGEST_WAIT);
  };

  async function send() {
    if (busy) return;
    const step = unsent.all(sheet).find((each) => steps.has(each) && !refused.has(each));
    if (!step) {
      released = leaving !== null;
      if (released) form.requestSubmit(leaving);
      return;
    }
    busy = true;
    const entry = unsent.get(sheet, step);
    unsent.put(sheet, step, { ...entry, known: [...new Set([...entry.known, entry.text])] });
    const body = new URLSearchParams(entry.text);
    body.set("csrf_token", form.elements.csrf_token.value);
    body.set("step", step);
    let answer = null, told = {};
    try {
      answer = await fetch(sheet, { method: "POST", body, keepalive: true, headers: { Accept: "application/json" } });
      told = await answer.json();
    } catch { /* no connection, or no answer of the program */ }
    busy = false;
    if (answer && answer.ok && "kept" in told) taken(step, entry.text, told);
    else if (answer && answer.status >= 400 && answer.status < 500) turnedDown(step, answer.status, told.sentence);
    else return later();
    send();
  }

  const refused = new Set(); // steps that wait for another text, not for another go
  function taken(step, text, told) {
    wait = FIRST_WAIT;
    held.set(step, text);
    form.elements[`was.${step}`].value = told.text;
    const now = unsent.get(sheet, step);
    if (now && now.text === text) unsent.drop(sheet, step);
    else if (now) unsent.put(sheet, step, { ...now, known: [text] });
    steps.get(step).querySelector("[data-told]").textContent = told.said;
    steps.get(step).querySelector("[data-told]").classList.remove("error");
    if (told.left !== null && clock) ends = Date.now() + 1000 * told.left;
    if (!refused.size) say(told.kept);
  }
  function turnedDown(step, status, sentence) {
    refused.add(step);
    leaving = null;
    const line = steps.get(step).querySelector("[data-told]");
    if (status === 400 && sentence) {
      line.textContent = sentence;
      line.classList.add("error");
    }
    if (status === 404 || status === 409) unsent.drop(sheet, step); // handed in, or the time is over
    say(sentence || form.dataset.refused, true);
  }

  // What an earlier visit could not send: into its box again, unless something newer is kept.
  for (const step of unsent.all(sheet)) {
    if (!steps.has(step)) continue;
    const entry = unsent.get(sheet, step);
    if (entry.text === held.get(step)) unsent.drop(sheet, step);
    else if (entry.known.includes(held.get(step))) fill(step, entry.text);
    else {
      const there = [...new URLSearchParams(entry.text).values()].join("; ");
      steps.get(step).querySelector("[data-told]").textContent = form.dataset.newer.replace("{text}", there);
      unsent.drop(sheet, step);
    }
  }
  send();

  const stepOf = (event) => event.target.closest("[data-step]")?.dataset.step;
  form.addEventListener("input", (event) => {
    const step = stepOf(event);
    if (!step) return;
    refused.delete(step);
    note(step);
  });
  form.addEventListener("change", (event) => stepOf(event) && send());
  form.addEventListener("submit", (event) => {
    if (released) return;
    [...steps.keys()].forEach(note);
    if (!busy && !unsent.all(sheet).length) return;
    event.preventDefault();
    leaving = event.submitter;
    send();
  });
  atEnd = send;
  addEventListener("online", () => { wait = FIRST_WAIT; send(); });
  addEventListener("pageshow", (event) => { released = false; if (event.persisted) send(); });
  document.addEventListener("visibilitychange", () => { if (document.visibilityState === "hidden") send(); });
})();
