/* A row of keys as buttons: one stop of the Tab key for each row, arrow keys inside it. */
"use strict";
(function () {
  /** Builds the keys of one keyboard into its frame; `act(at, how)` hears "toggle", "down" and "up". */
  function buildKeys(frame, keyboard, noteName, words, act) {
    const bed = document.createElement("div");
    bed.className = "bed";
    const raised = [...keyboard.raised].map(Number);
    const wide = raised.filter(one => !one).length + (raised[0] ? 1 : 0);
    bed.style.setProperty("--wide", wide);
    const buttons = [];
    let place = raised[0] ? 1 : 0;
    keyboard.notes.forEach((note, index) => {
      const button = document.createElement("button");
      button.type = "button";
      button.className = raised[index] ? "key raised" : "key";
      button.dataset.at = keyboard.id + ":" + (index + 1);
      button.setAttribute("aria-pressed", "false");
      button.setAttribute("aria-label", words.key.replace("{note}", noteName(note)).replace("{n}", index + 1));
      button.tabIndex = -1;
      // Two raised keys side by side (a missing key between them) share the room.
      const shift = raised[index] && raised[index - 1] ? .42 : raised[index] && raised[index + 1] ? -.42 : 0;
      button.style.setProperty("--at", place + shift);
      if (!raised[index]) {
        place += 1;
        if (note % 12 === 0) {
          const name = document.createElement("span");
          name.textContent = noteName(note);
          button.append(name);
        }
      }
      bed.append(button);
      buttons.push(button);
    });
    frame.append(bed);
    if (!buttons.length) return buttons;
    let current = Math.max(0, keyboard.notes.indexOf(60) >= 0 ? keyboard.notes.indexOf(60) : keyboard.notes.indexOf(48));
    buttons[current].tabIndex = 0;

    const moveTo = index => {
      const next = Math.min(buttons.length - 1, Math.max(0, index));
      buttons[current].tabIndex = -1;
      current = next;
      buttons[current].tabIndex = 0;
      buttons[current].focus();
    };
    const byOctave = way => {
      const wanted = keyboard.notes[current] + 12 * way;
      const found = keyboard.notes.indexOf(wanted);
      return found >= 0 ? found : current;
    };
    frame.addEventListener("keydown", event => {
      if (event.altKey || event.ctrlKey || event.metaKey) return;
      const go = { ArrowRight: () => current + 1, ArrowLeft: () => current - 1, ArrowUp: () => byOctave(1),
                   ArrowDown: () => byOctave(-1), Home: () => 0, End: () => buttons.length - 1 }[event.key];
      if (!go) return;
      event.preventDefault();
      moveTo(go());
    });
    frame.addEventListener("focusin", event => {
      const index = buttons.indexOf(event.target);
      if (index < 0 || index === current) return;
      buttons[current].tabIndex = -1;
      current = index;
      buttons[current].tabIndex = 0;
    });
    // Clicks carry mouse, touch, Space, Enter and screen readers alike; pointers count only where keys do not stay.
    frame.addEventListener("click", event => {
      const button = event.target.closest(".key");
      if (button) act(button.dataset.at, "toggle", event.detail === 0);
    });
    for (const [kind, how] of [["pointerdown", "down"], ["pointerup", "up"], ["pointercancel", "up"], ["pointerout", "up"]]) {
      frame.addEventListener(kind, event => {
        const button = event.target.closest(".key");
        if (button && event.button <= 0) act(button.dataset.at, how, false);
      });
    }
    return buttons;
  }

  /** Semitones above the chosen C for a key of the computer, by its place: two rows, two octaves. */
  const TYPED = {};
  "KeyZ KeyS KeyX KeyD KeyC KeyV KeyG KeyB KeyH KeyN KeyJ KeyM".split(" ").forEach((code, n) => { TYPED[code] = n; });
  "KeyQ Digit2 KeyW Digit3 KeyE KeyR Digit5 KeyT Digit6 KeyY Digit7 KeyU KeyI".split(" ")
    .forEach((code, n) => { TYPED[code] = 12 + n; });

  window.Upperboard = Object.assign(window.Upperboard || {}, { TYPED, buildKeys });
})();
