// Small helpers around htmx. Every page works without them.
(() => {
  "use strict";
  const SAME_PRESS_MS = 600;
  const SAME_PLACE_PX = 24;
  let lastPress = { timeStamp: -Infinity, clientX: 0, clientY: 0 };
  let lastConnected = new Date();
  // Presses that got no answer, each with its key: pressed again they go out under the same key and count once.
  const unanswered = new Map();

  // A double press in one place is one tap, even when the answer to the first is already on the page.
  document.addEventListener("click", (event) => {
    if (!event.target.closest("[data-tap]")) return;
    const away = Math.hypot(event.clientX - lastPress.clientX, event.clientY - lastPress.clientY);
    if (event.timeStamp - lastPress.timeStamp < SAME_PRESS_MS && away < SAME_PLACE_PX) {
      event.preventDefault();
      event.stopImmediatePropagation();
    } else {
      lastPress = event;
    }
  }, true);

  // A page that refused a form was itself sent for by a press. When its form goes out again, its place in the history
  // becomes that of the page above, so that Back does not ask whether to send the form once more.
  document.addEventListener("submit", () => {
    const page = document.body.dataset.formPage;
    if (page) history.replaceState(null, "", page);
  });

  // Keys named on the page: a button is pressed, a field is entered. A letter is the one that the key shows; where
  // another alphabet, or Alt on a Mac, makes something else of it, the place of the key counts. Cmd is Ctrl there.
  const letterOf = ({ key, code }) =>
    /^[a-z]$/i.test(key) ? key.toLowerCase() : (/^Key([A-Z])$/.exec(code)?.[1].toLowerCase() ?? key);
  const nameOf = (event) => {
    const holdsControl = event.ctrlKey || (event.metaKey && event.key === "Enter");
    return `${holdsControl ? "Control+" : ""}${event.altKey ? "Alt+" : ""}${letterOf(event)}`;
  };
  document.addEventListener("keydown", (event) => {
    if (event.shiftKey || event.getModifierState("AltGraph")) return;
    const named = nameOf(event);
    const wanted = [...document.querySelectorAll("[data-keys]")].find((one) => one.dataset.keys === named);
    if (!wanted) return;
    event.preventDefault();
    if (event.repeat) return;
    if (wanted.matches("input")) wanted.focus();
    else wanted.click();
  });

  const pressOf = ({ action, body }) =>
    [action, ...["act", "colour", "count", "step"].map((name) => body.get(name))].join("|");

  document.addEventListener("htmx:config:request", (event) => {
    const { ctx } = event.detail;
    const token = document.querySelector("meta[name=csrf-token]");
    if (token) ctx.request.headers["X-CSRFToken"] = token.content;
    const tap = ctx.request.body?.get?.("act") || ctx.request.body?.get?.("step");
    if (!tap) return;
    ctx.press = pressOf(ctx.request);
    if (unanswered.has(ctx.press)) ctx.request.body.set("client_key", unanswered.get(ctx.press));
    ctx.key = ctx.request.body.get("client_key");
  });

  // What is asked while somebody types gives way to a press in the form: an answer to what was typed before must
  // not come after it. The questions themselves do not hinder each other.
  const FORMS = "#order-form, #design-form";
  let presses = 0;
  let pressedAt = -Infinity;
  document.addEventListener("htmx:before:request", (event) => {
    const { ctx } = event.detail;
    if (ctx.sourceElement.matches("[data-live-query]")) {
      if (presses || ctx.sourceEvent.timeStamp < pressedAt) event.preventDefault();
    } else if (ctx.sourceElement.closest(FORMS)) {
      ctx.inForm = true;
      ctx.sent = typed();
      ctx.sentChoices = chosen();
      presses += 1;
      pressedAt = performance.now();
      for (const one of document.querySelectorAll("[data-live-query]")) one.dispatchEvent(new Event("htmx:abort"));
    }
  });
  document.addEventListener("htmx:finally:request", (event) => {
    const { ctx } = event.detail;
    if (!ctx.inForm) return;
    presses -= 1;
    // The answer says beside a date how the text before was read, also where the field itself kept what is newer.
    for (const [id] of ctx.newer ?? []) {
      const field = document.getElementById(id);
      if (field?.matches(".day-text")) field.dispatchEvent(new Event("change", { bubbles: true }));
    }
  });

  // What is typed while the answer to a press is under way is newer than the answer, and stays.
  const TEXTS = "input:not([type=hidden], [type=checkbox], [type=radio], [type=file], [type=date]), textarea";
  const typed = () => new Map([...document.querySelectorAll(FORMS)].flatMap(
    (form) => [...form.querySelectorAll(TEXTS)].map((field) => [field.id, field.value])));
  const CHOICES = "input[type=checkbox], input[type=radio], select";
  const choices = () => [...document.querySelectorAll(FORMS)].flatMap((form) => [...form.querySelectorAll(CHOICES)]);
  const kindOf = (field) => field.matches("select") ? "value" : "checked";
  const chosen = () => new Map(choices().map((field) => [field.id, field[kindOf(field)]]));
  const setAsAnswered = (field) => {
    if (!field.matches("select")) field.checked = field.defaultChecked;
    else for (const option of field.options) option.selected = option.defaultSelected;
  };
  document.addEventListener("htmx:before:swap", (event) => {
    const { ctx } = event.detail;
    if (!ctx?.inForm) return;
    ctx.newerChoices = [...chosen()].filter(([id, is]) => ctx.sentChoices.has(id) && ctx.sentChoices.get(id) !== is);
    ctx.newer = [...typed()].filter(([id, text]) => ctx.sent.has(id) && ctx.sent.get(id) !== text);
  });
  document.addEventListener("htmx:after:swap", (event) => {
    for (const [id, text] of event.detail.ctx?.newer ?? []) {
      const field = document.getElementById(id);
      if (!field?.matches(TEXTS) || field.value === text) continue;
      field.value = text;
      field.dispatchEvent(new Event("input", { bubbles: true }));
    }
  });

  // A browser leaves what was once ticked or chosen as it is, whatever the answer says. So it is set as the form that
  // came back has it, except what was ticked or chosen meanwhile.
  document.addEventListener("htmx:after:swap", (event) => {
    const { ctx } = event.detail;
    if (!ctx?.inForm || !ctx.target?.matches?.(FORMS)) return;
    for (const field of choices()) setAsAnswered(field);
    for (const [id, is] of ctx.newerChoices) {
      const field = document.getElementById(id);
      if (!field?.matches(CHOICES) || field[kindOf(field)] === is) continue;
      field[kindOf(field)] = is;
      field.dispatchEvent(new Event("change", { bubbles: true }));
    }
  });

  // The calendar of the browser, beside a field for a date: what is picked there is written into the field.
  const openCalendar = (id) => {
    const calendar = document.getElementById(`${id}-calendar`);
    calendar.value = document.getElementById(`${id}-read`).querySelector("[data-day]")?.dataset.day ?? "";
    calendar.showPicker();
  };
  document.addEventListener("click", ({ target }) => {
    const button = target.closest("[data-picks]");
    if (button) openCalendar(button.dataset.picks);
  });
  document.addEventListener("keydown", (event) => {
    if (!event.altKey || event.key !== "ArrowDown" || !event.target.matches(".day-text")) return;
    event.preventDefault();
    openCalendar(event.target.id);
  });
  const write = (field, text) => {
    field.value = text;
    field.dispatchEvent(new Event("input", { bubbles: true }));
  };
  document.addEventListener("change", ({ target }) => {
    if (target.matches("[data-calendar]") && target.value) {
      write(document.getElementById(target.dataset.calendar), target.value);
    }
  });

  // “Tomorrow” is another day tomorrow: when the field is left, the date that was understood takes its place.
  const writeOut = (field) => {
    if (/\d{4}/.test(field.value)) return;
    const read = document.getElementById(`${field.id}-read`)?.querySelector("[data-typed]");
    if (read?.dataset.text === field.value.trim()) write(field, read.dataset.typed);
  };
  document.addEventListener("focusout", ({ target }) => target.matches(".day-text") && writeOut(target));
  document.addEventListener("htmx:after:swap", (event) => {
    const source = event.detail.ctx?.sourceElement;
    if (source?.matches(".day-text") && source !== document.activeElement) writeOut(source);
  });

  // What somebody opened stays open when the answer is drawn again, and is open again when it comes back after an
  // answer without it.
  const opened = new Set();
  document.addEventListener("click", (event) => {
    const fold = event.target.closest("details[id] > summary")?.parentElement;
    if (fold) opened[fold.open ? "delete" : "add"](fold.id);
  });
  document.addEventListener("htmx:after:swap", () => {
    for (const id of opened) document.getElementById(id)?.setAttribute("open", "");
  });

  // What was pressed shows it until the next page is there; what htmx sends marks itself.
  document.addEventListener("submit", (event) => {
    if (!event.defaultPrevented) event.submitter?.setAttribute("aria-busy", "true");
  });
  window.addEventListener("pageshow", () => {
    for (const one of document.querySelectorAll("[aria-busy=true]")) one.removeAttribute("aria-busy");
  });

  // What scrolls sideways can be reached with the keyboard, and only that.
  const SCROLLERS = ".scroll";
  const markScrollers = () => {
    for (const one of document.querySelectorAll(SCROLLERS)) {
      if (one.scrollWidth > one.clientWidth) {
        one.tabIndex = 0;
        one.setAttribute("role", "group");
        one.setAttribute("aria-label", "Scrolls sideways");
      } else for (const name of ["tabindex", "role", "aria-label"]) one.removeAttribute(name);
    }
  };
  for (const event of ["DOMContentLoaded", "htmx:after:swap"]) document.addEventListener(event, markScrollers);
  window.addEventListener("resize", markScrollers);

  // A refused form takes the focus: to the first wrong field that its summary names, else to the summary. Both are
  // in sight if they fit above the bar at the bottom.
  const BAR = 160;
  const showRefused = () => {
    const summary = document.querySelector("[data-focus]");
    if (!summary) return;
    const place = document.getElementById(summary.dataset.focus) ?? summary;
    for (let fold = place.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
    place.focus({ preventScroll: true });
    const bothFit = place.getBoundingClientRect().bottom - summary.getBoundingClientRect().top < innerHeight - BAR;
    place.scrollIntoView({ block: bothFit ? "nearest" : "center" });
    if (bothFit) summary.scrollIntoView({ block: "nearest" });
  };
  document.addEventListener("DOMContentLoaded", showRefused);
  document.addEventListener("htmx:after:swap", (event) => {
    if ([409, 422].includes(event.detail.ctx?.response?.status)) showRefused();
  });

  // What the page shows as counted needs no second press.
  const dropRecordedPresses = () => {
    const counted = document.querySelector("[data-recorded-keys]")?.dataset.recordedKeys.split(" ") ?? [];
    for (const [press, key] of unanswered) if (counted.includes(key)) unanswered.delete(press);
  };

  const clock = (date) => date.toLocaleTimeString([], {
    hour: "numeric", minute: "2-digit", hour12: document.documentElement.dataset.clock === "12 h",
  });

  // state: "ok", "lost" (the server gave no answer) or "refused" (it answered with a sentence).
  const say = (text, state) => {
    const line = document.getElementById("connection");
    if (!line) return;
    line.textContent = text;
    line.dataset.connection = state;
    line.classList.toggle("connection-lost", state !== "ok");
  };

  const showConnected = () => {
    lastConnected = new Date();
    say(document.querySelector("[data-version]") ? "Up to date" : "", "ok");
  };

  document.addEventListener("htmx:after:request", (event) => {
    unanswered.delete(event.detail.ctx.press);
    showConnected();
  });
  document.addEventListener("htmx:after:swap", dropRecordedPresses);
  document.addEventListener("htmx:error", (event) => {
    const { press, key } = event.detail.ctx ?? {};
    if (press) unanswered.set(press, key);
    const missing = unanswered.size ? " Your last tap may be missing. Press it again: it counts only once." : "";
    say(`Not connected since ${clock(lastConnected)}. This page may be out of date.${missing}`, "lost");
  });
  document.addEventListener("htmx:response:error", (event) => {
    const { response, text } = event.detail.ctx;
    if (response.headers.get("Content-Type")?.startsWith("text/plain")) say(text, "refused");
  });
  document.addEventListener("DOMContentLoaded", showConnected);

  // A page that asks for nothing by itself learns here that the network is back. A missing tap stays named.
  window.addEventListener("online", async () => {
    const icon = document.querySelector("link[rel=icon]");
    if (!icon || unanswered.size || document.getElementById("connection")?.dataset.connection !== "lost") return;
    const answer = await fetch(icon.href, { cache: "no-store" }).catch(() => null);
    if (answer?.ok) showConnected();
  });
})();
