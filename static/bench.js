// The board: steppers for gloves, where the focus goes after a tap, and what this tablet does by itself.
(() => {
  "use strict";

  document.addEventListener("click", ({ target }) => {
    const button = target.closest("[data-step-by]");
    if (!button) return;
    const field = document.getElementById(button.dataset.steps);
    const next = (parseInt(field.value, 10) || 0) + Number(button.dataset.stepBy);
    field.value = Math.min(Math.max(next, Number(field.min)), Number(field.max));
  });

  // The board says which version it shows. Of rows that are the same there, the answer has only the places; they stay
  // as they are. If it was meant for another version, or a row is missing, the whole board is asked for.
  const askForBoard = () => {
    delete document.getElementById("board").dataset.version;
    htmx.ajax("GET", location.href, { target: "#board", swap: "outerMorph" });
  };
  document.addEventListener("htmx:config:request", ({ detail: { ctx } }) => {
    const version = ctx.sourceElement.closest?.("#board")?.dataset.version;
    if (version) ctx.request.headers["X-Board-Shown"] = version;
  });
  document.addEventListener("htmx:before:swap", (event) => {
    const since = event.detail.ctx?.response?.headers.get("X-Board-Since");
    if (!since || since === document.getElementById("board").dataset.version) return;
    event.preventDefault();
    askForBoard();
  });

  // What else can be done with a batch comes when its row is opened, and again when the board was drawn anew; until
  // then what came before stays.
  const askForMore = (place) => htmx.ajax("GET", place.dataset.more, { target: place, swap: "innerMorph" });
  document.addEventListener("toggle", ({ target }) => {
    const place = target.open && target.querySelector("[data-more]");
    if (place) askForMore(place);
  }, true);
  htmx.registerExtension("kept", {
    htmx_before_morph_node: (old, { newNode }) =>
      !(newNode.matches?.("[data-kept]") || (newNode.matches?.("[data-more]") && old.dataset.more)),
  });
  document.addEventListener("htmx:after:swap", ({ detail: { ctx } }) => {
    if (ctx?.target?.id !== "board") return;
    document.querySelectorAll("details[open] [data-more]").forEach(askForMore);
    if (document.querySelector("#board [data-kept]")) askForBoard();
  });

  // A tap that is gone from the board hands its focus to what comes next in its panel, else to the first panel.
  const goesOn = (batch) =>
    document.querySelector(`#${CSS.escape(batch ?? "")} [data-eye]`)
    ?? document.querySelector("#now [data-eye]") ?? document.querySelector("#now [data-eye-last]");
  document.addEventListener("htmx:config:request", ({ detail: { ctx } }) => {
    const form = ctx.sourceElement.closest?.("#board :is(form[hx-post], .safe-answer)");
    if (!form) return;
    const batch = form.closest("[id^=batch-]");
    ctx.boardTap = { pressed: document.activeElement?.id, batch: batch?.id };
  });
  document.addEventListener("htmx:after:swap", ({ detail: { ctx } }) => {
    if (!ctx?.boardTap) return;
    const counted = ctx.sourceElement.querySelector?.("[data-counts]");
    if (counted && ctx.response?.status === 200) counted.value = 1;
    if (document.activeElement && document.activeElement !== document.body) return;
    const { pressed, batch } = ctx.boardTap;
    const place = (pressed && document.getElementById(pressed)) || goesOn(batch);
    place?.focus({ preventScroll: true });
    place?.scrollIntoView({ block: "nearest" });
  });

  // The screen stays on while the board is seen. Browsers allow it only on a secure page.
  const keepAwake = async () => {
    if (!("wakeLock" in navigator) || document.visibilityState !== "visible") return;
    try {
      await navigator.wakeLock.request("screen");
      document.getElementById("awake").hidden = false;
    } catch {
      document.getElementById("awake").hidden = true;
    }
  };
  document.addEventListener("visibilitychange", keepAwake);

  // Sound and vibration when a batch becomes due, if this tablet is told to.
  const KEY = "stillaloft-sound";
  const stored = () => {
    try { return localStorage.getItem(KEY) === "on"; } catch { return false; }
  };
  const store = (on) => {
    try { localStorage.setItem(KEY, on ? "on" : "off"); } catch { /* It holds until the page is left. */ }
  };
  let sounds = stored();
  let audio = null;
  // A browser lets a page sound only after somebody touched it.
  const openAudio = () => {
    if (!sounds || !window.AudioContext) return;
    audio ??= new AudioContext();
    audio.resume();
  };
  const beep = () => {
    navigator.vibrate?.([200, 100, 200]);
    if (audio?.state !== "running") return;
    for (const [tone, at] of [[660, 0], [880, .25]]) {
      const oscillator = audio.createOscillator();
      const volume = audio.createGain();
      oscillator.frequency.value = tone;
      volume.gain.setValueAtTime(.25, audio.currentTime + at);
      volume.gain.linearRampToValueAtTime(0, audio.currentTime + at + .2);
      oscillator.connect(volume).connect(audio.destination);
      oscillator.start(audio.currentTime + at);
      oscillator.stop(audio.currentTime + at + .2);
    }
  };
  const due = () => new Set([...document.querySelectorAll("#board :is([data-state=due], [data-state=late])")]
    .map((one) => one.id));
  let known = new Set();
  document.addEventListener("htmx:after:swap", () => {
    const now = due();
    const isNew = [...now].some((id) => !known.has(id));
    known = now;
    if (!isNew || !sounds) return;
    beep();
    document.getElementById("device").dataset.sounded = String(now.size);
  });

  const showDevice = () => {
    known = due();
    const device = document.getElementById("device");
    const sound = document.getElementById("sound");
    const whole = document.getElementById("whole-screen");
    device.hidden = false;
    const show = () => {
      sound.setAttribute("aria-pressed", String(sounds));
      whole.setAttribute("aria-pressed", String(Boolean(document.fullscreenElement)));
    };
    sound.addEventListener("click", () => {
      sounds = !sounds;
      store(sounds);
      openAudio();
      if (sounds) beep();
      show();
    });
    document.addEventListener("pointerdown", openAudio);
    whole.hidden = !document.fullscreenEnabled;
    whole.addEventListener("click", () => {
      if (document.fullscreenElement) document.exitFullscreen();
      else document.documentElement.requestFullscreen();
    });
    document.addEventListener("fullscreenchange", show);
    show();
    keepAwake();
  };
  document.addEventListener("DOMContentLoaded", showDevice);
})();
