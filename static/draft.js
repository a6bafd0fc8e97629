// What is being typed into an order outlives a reload and a step back in its tab. Each tab has its own draft of a new
// order; a copy of it in this browser is the way back after a crash or a closed tab.
(() => {
  "use strict";
  const SLOT = "stillaloft-draft";
  const EDIT_SLOT = "stillaloft-edit-draft";
  const TAB_SLOT = "stillaloft-tab";
  const MAX_DRAFT_AGE_MS = 12 * 60 * 60 * 1000;
  const MAX_REPLY_MS = 250;
  const NOT_TYPED = ["csrf_token", "fix"];
  const TYPED = /customer|phone|-day|-hour|quantity|notes|discount/;

  const randomId = () => [...crypto.getRandomValues(new Uint8Array(8))].map((one) => one.toString(16).padStart(2, "0")).join("");
  const page = randomId();
  const tabs = new BroadcastChannel("stillaloft-tabs");
  let tab = sessionStorage.getItem(TAB_SLOT) ?? randomId();
  let keyOfTwin = "";

  const newOrder = () => document.querySelector("form[data-draft]");
  const editedOrder = () => document.querySelector("form[data-edit-draft]");
  const offer = () => document.getElementById("left-draft");
  const copyOf = (id) => `${SLOT}-${id}`;

  const parse = (text) => {
    try {
      const kept = JSON.parse(text);
      return kept && Date.now() - kept.at < MAX_DRAFT_AGE_MS ? kept : null;
    } catch {
      return null;
    }
  };
  const valueOf = (draft, field) => draft.fields.find(([name]) => name === field)?.[1] ?? "";
  const isTyped = (draft) => draft.fields.some(([name, value]) => TYPED.test(name) && value);

  const textOf = (form) => {
    const fields = [...new FormData(form)].filter(([name]) => !NOT_TYPED.includes(name));
    return JSON.stringify({ at: Date.now(), fields, page: location.pathname });
  };

  const save = (form) => {
    const text = textOf(form);
    sessionStorage.setItem(SLOT, text);
    try {
      localStorage.setItem(copyOf(tab), text);
    } catch {
      // The copy for after a crash has no room. The tab's own draft is saved.
    }
  };

  const drop = () => {
    sessionStorage.removeItem(SLOT);
    localStorage.removeItem(copyOf(tab));
  };

  const copies = () => Object.keys(localStorage).filter((slot) => slot.startsWith(`${SLOT}-`));

  // A duplicated tab starts with the first one's draft. It goes on with a key of its own.
  const renewKey = () => {
    const key = newOrder()?.elements.client_key;
    if (key && keyOfTwin && key.value === keyOfTwin) key.value = randomId();
  };

  const fill = (form, address, draft) => {
    const values = { ...Object.fromEntries(draft.fields), fix: "restore" };
    return htmx.ajax("POST", address, { values, source: form, target: form, swap: "outerMorph" });
  };

  const restore = (draft) => {
    fill(newOrder(), newOrder().dataset.draft, draft).then(() => newOrder()?.dispatchEvent(new Event("change")));
  };

  // Who looks for a free day while an order is being typed finds that order with the day that was pressed. The times
  // stay; other dates that were typed belong to the day before.
  const withPressedDay = (draft) => {
    const day = newOrder().elements["event_start-day"].value;
    const [navigation] = performance.getEntriesByType("navigation");
    if (!day || navigation.type !== "navigate") return draft;
    const days = { "event_start-day": day, "lasts_until-day": "", "hand_over_time-day": "", "later_hand_over_time-day": "" };
    if (valueOf(draft, "occasion") === "until") days["lasts_until-day"] = day;
    return { ...draft, fields: draft.fields.map(([name, value]) => [name, days[name] ?? value]) };
  };

  // Somebody who opens the order again from elsewhere sees it as it is saved.
  const restoreEdited = () => {
    const form = editedOrder();
    const draft = parse(sessionStorage.getItem(EDIT_SLOT));
    const [navigation] = performance.getEntriesByType("navigation");
    if (form && draft?.page === location.pathname && navigation.type !== "navigate") {
      fill(form, form.dataset.editDraft, draft);
    } else sessionStorage.removeItem(EDIT_SLOT);
  };

  // The latest draft whose tab is gone is offered, never filled in unasked: a new tab may be for a new caller.
  const offerLeft = (alive) => {
    const left = copies().filter((slot) => !alive.has(slot))
      .map((slot) => ({ slot, draft: parse(localStorage.getItem(slot)) }))
      .filter(({ slot, draft }) => (draft && isTyped(draft)) || localStorage.removeItem(slot))
      .sort((one, other) => other.draft.at - one.draft.at)[0];
    if (!left || !offer() || sessionStorage.getItem(SLOT)) return;
    const whose = valueOf(left.draft, "customer") || valueOf(left.draft, "phone");
    if (whose) offer().querySelector("strong").textContent = whose;
    offer().dataset.slot = left.slot;
    offer().hidden = false;
  };

  const askOthers = () => {
    const alive = new Set([copyOf(tab)]);
    tabs.addEventListener("message", ({ data }) => data.here && alive.add(copyOf(data.here)));
    tabs.postMessage({ asks: tab, page });
    setTimeout(() => offerLeft(alive), MAX_REPLY_MS);
  };

  tabs.addEventListener("message", ({ data }) => {
    if (data.asks) tabs.postMessage({ here: tab, to: data.page, isTwin: data.asks === tab });
    else if (data.to === page && data.isTwin) {
      keyOfTwin = newOrder()?.elements.client_key.value ?? "";
      const draft = parse(sessionStorage.getItem(SLOT));
      if (draft) keyOfTwin = valueOf(draft, "client_key");
      tab = randomId();
      sessionStorage.setItem(TAB_SLOT, tab);
      renewKey();
      if (newOrder() && draft) save(newOrder());
    }
  });

  const onChange = () => {
    if (editedOrder()) sessionStorage.setItem(EDIT_SLOT, textOf(editedOrder()));
    if (!newOrder()) return;
    renewKey();
    save(newOrder());
    if (offer()) offer().hidden = true;
  };
  document.addEventListener("input", onChange);
  document.addEventListener("htmx:after:swap", onChange);

  document.addEventListener("click", ({ target }) => {
    if (!target.matches("#bring-back, #drop-left")) return;
    const { slot } = offer().dataset;
    const draft = parse(localStorage.getItem(slot));
    localStorage.removeItem(slot);
    offer().hidden = true;
    if (draft && target.id === "bring-back") restore(draft);
  });

  document.addEventListener("DOMContentLoaded", () => {
    sessionStorage.setItem(TAB_SLOT, tab);
    restoreEdited();
    const draft = parse(sessionStorage.getItem(SLOT));
    const taken = document.querySelector("[data-saved-key]")?.dataset.savedKey;
    if (taken) {
      for (const slot of copies()) {
        const copy = parse(localStorage.getItem(slot));
        if (copy && valueOf(copy, "client_key") === taken) localStorage.removeItem(slot);
      }
      if (draft && valueOf(draft, "client_key") === taken) drop();
    }
    if (!newOrder()) return;
    if (draft && (isTyped(draft) || valueOf(draft, "undo"))) restore(withPressedDay(draft));
    else drop();
    askOthers();
  });
})();
