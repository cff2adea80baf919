// Small comforts for the sheet. Every page works without this file.
"use strict";

(() => {
  // After a check the page comes back: put the cursor where the work goes on, and let the verdict be read out with it.
  const next = document.querySelector("[data-focus]");
  const fresh = document.querySelector(".verdict[role=status]");
  if (next) {
    const heard = (next.getAttribute("aria-describedby") || "").split(" ").filter(Boolean);
    if (fresh && fresh.id && !heard.includes(fresh.id)) {
      next.setAttribute("aria-describedby", [fresh.id, ...heard].join(" "));
    }
    requestAnimationFrame(() => document.activeElement === next || next.focus());
  }

  // A box that scrolls sideways must be reachable with the keyboard.
  for (const box of document.querySelectorAll(".scroll")) {
    if (box.scrollWidth > box.clientWidth && !box.querySelector("a, button, input, select")) box.tabIndex = 0;
  }

  // States over time: left and right move along the times, space flips the state, up and down stay the browser's.
  const MOVES = { ArrowLeft: -1, ArrowRight: 1 };
  for (const chart of document.querySelectorAll("table.states")) {
    const column = (name) => [...chart.querySelectorAll("input[type=radio]")].filter((radio) => radio.name === name);
    const names = [...new Set([...chart.querySelectorAll("input[type=radio]")].map((radio) => radio.name))];
    chart.addEventListener("keydown", (event) => {
      const radio = event.target;
      if (radio.type !== "radio" || event.ctrlKey || event.altKey || event.metaKey) return;
      const here = column(radio.name);
      if (event.key in MOVES) {
        event.preventDefault();
        const there = column(names[names.indexOf(radio.name) + MOVES[event.key]]);
        const place = there.find((other) => other.checked) || there[here.indexOf(radio)];
        if (place) place.focus();
      } else if (event.key === " " && radio.checked) {
        event.preventDefault();
        const flipped = here[(here.indexOf(radio) + 1) % here.length];
        flipped.checked = true;
        flipped.focus();
      }
    });
  }
})();
