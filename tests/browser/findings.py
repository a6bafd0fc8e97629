"""What is found on a page that somebody could not see, hear, reach or tell apart."""

from pathlib import Path

AXE = (Path(__file__).parent / "vendor" / "axe-4.14.1.min.js").read_text(encoding="utf-8")
NARROW = 320
"""A small telephone's width."""
CONTRAST = ("color-contrast", "link-in-text-block")

RUN_AXE = """async ([only, without]) => {
  const rules = Object.fromEntries(without.map((rule) => [rule, { enabled: false }]));
  const options = { resultTypes: ["violations"], rules, ...(only && { runOnly: { type: "rule", values: only } }) };
  const { violations } = await axe.run(document, options);
  return violations.flatMap(({ id, nodes }) => nodes.map(({ html }) => `${id}: ${html.slice(0, 160)}`));
}"""

LOOK = """() => {
  const found = [], say = (what, element) => found.push(`${what}: ${element.outerHTML.slice(0, 160)}`);
  const all = (what) => [...document.querySelectorAll(what)];
  const plain = (text) => text.toLowerCase().replace(/[^\\p{L}\\p{N}]+/gu, " ").trim();

  for (const by of ["aria-describedby", "aria-labelledby", "aria-controls", "for", "list", "headers"]) {
    for (const one of all(`[${by}]`)) {
      const ids = one.getAttribute(by).split(/\\s+/).filter(Boolean);
      if (ids.some((id) => !document.getElementById(id))) say(`${by} leads nowhere`, one);
    }
  }
  const ids = all("[id]").map((one) => one.id);
  for (const one of all("[id]")) if (ids.indexOf(one.id) !== ids.lastIndexOf(one.id)) say("id stands twice", one);
  for (const one of all("time")) {
    const moment = /^\\d{4}-\\d\\d-\\d\\d(T\\d\\d:\\d\\d(:\\d\\d)?([+-]\\d\\d:\\d\\d|Z)?)?$/;
    if (!moment.test(one.dateTime)) say("no moment", one);
  }
  for (const one of all("[aria-label]:is(a, button, summary)")) {
    const seen = plain(one.innerText ?? one.textContent); // a link in a drawing has no innerText
    if (seen && !plain(one.ariaLabel).includes(seen)) say("named otherwise than it reads", one);
  }
  for (const one of all("label")) {
    const name = one.control?.ariaLabel;
    if (name && !plain(name).includes(plain(one.innerText))) say("labelled otherwise than it reads", one);
  }
  const speaks = "[role=status]:not([aria-live=off]), [role=alert], [aria-live=polite], [aria-live=assertive]";
  const live = all(speaks).filter((one) => one.checkVisibility() && one.innerText.trim());
  const apart = live.filter((one) => !one.parentElement.closest(speaks));
  if (apart.length > 1) for (const one of apart) say("speaks beside another", one);
  return found;
}"""

WIDTH = """() => {
  const room = document.documentElement.clientWidth;
  if (document.documentElement.scrollWidth <= room) return [];
  const out = (one) => one.getBoundingClientRect().right > room + 1 && !one.closest(".scroll");
  const first = [...document.querySelectorAll("body *")].filter(out).slice(0, 3);
  const wide = document.documentElement.scrollWidth;
  return [`${wide} px in ${room}`, ...first.map((one) => one.outerHTML.slice(0, 100))];
}"""

TARGETS = """() => {
  const pressed = `a, button, summary, select, textarea, label:is(.tick, .pick),
    input:not([type=hidden], [type=checkbox], [type=radio], .day-calendar)`;
  const isWords = (one) => [...one.parentElement.childNodes].some(
    (node) => node !== one && node.nodeType === Node.TEXT_NODE && /\\p{L}|\\p{N}/u.test(node.data));
  const covers = (one) => getComputedStyle(one, "::after").position === "absolute";
  const small = (one) => {
    const { width, height } = one.getBoundingClientRect();
    return Math.min(width, height) < 43.5;
  };
  return [...document.querySelectorAll(pressed)].filter((one) => one.checkVisibility({ opacityProperty: true })
    && !one.matches(".skip, .first-button") && !(one.matches("a") && (isWords(one) || covers(one))) && small(one))
    .map((one) => `${one.offsetWidth} × ${one.offsetHeight}: ${one.outerHTML.slice(0, 120)}`);
}"""


def axe_findings(page, only=None, without=()):
    """What axe-core finds, each as its rule and the tag. only: the rules to look for; all if it is None, but for
    those without which it looks."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(AXE)
    return page.evaluate(RUN_AXE, [only, [*without]])


def own_findings(page):
    """What axe-core does not look for: ids that lead nowhere, times without a moment, names that differ."""
    return page.evaluate(LOOK)


def sideways(page):
    """What sticks out of the window."""
    return page.evaluate(WIDTH)


def small_targets(page):
    """What is pressed with a finger, is no link in a sentence, and is less than 44 px wide or high."""
    return page.evaluate(TARGETS)
