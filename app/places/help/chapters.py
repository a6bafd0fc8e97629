"""The chapters of the help, in the order in which they are listed."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Chapter:
    """A chapter. key: its address below /help, and the name of its template. about: one line for the list."""

    key: str
    title: str
    about: str

    @property
    def template(self) -> str:
        """The template of its sections."""
        return f"help/_{self.key.replace('-', '_')}.html"


CHAPTERS: tuple[Chapter, ...] = (
    Chapter("first-day", "First day", "From an empty shop to the first order, in ten steps."),
    Chapter("counter", "Counter", "Take, check, price, change and find orders; sell over the counter."),
    Chapter("bench", "Bench", "What to fill next, how to tap it, and what to do when time is short."),
    Chapter("pickups", "Pick-ups", "Hand orders over, and save what comes back."),
    Chapter("office", "Office", "Prices, designs, stock, gas, staff and the review of the day."),
    Chapter("settings", "Settings", "Every setting with its meaning, its default and what it may be."),
    Chapter("words", "Words", "What the words on the pages mean."),
    Chapter("keys", "Keys", "What you can do without the mouse."),
    Chapter("numbers", "Where the numbers come from", "The formulas, their sources and their limits."),
    Chapter("cautions", "Cautions", "Choking, allergy, helium, cylinders, power lines, heat."),
)


def find_chapter(key: str) -> Chapter | None:
    """Returns the chapter with this key; None when there is none."""
    return next((chapter for chapter in CHAPTERS if chapter.key == key), None)
