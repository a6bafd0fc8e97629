"""Which section of the help belongs to which page: the “?” at the top of the page leads there."""

from flask import url_for

HELP_OF_PAGES = {
    "counter.new_order": "counter#new-order",
    "counter.edit": "counter#change",
    "counter.show": "counter#order",
    "counter.confirmation": "counter#confirmation",
    "counter.find": "counter#find",
    "counter.weeks": "counter#weeks",
    "counter.customer": "counter#customer",
    "counter.quick_sale": "counter#quick-sale",
    "bench.board": "bench#board",
    "bench.ticket": "bench#ticket",
    "bench.staff": "bench#staff",
    "bench.fetch_list": "bench#items",
    "bench.cylinders": "bench#cylinders",
    "bench.calculator": "bench#calculator",
    "pickups.board": "pickups#steps",
    "pickups.show_tag": "pickups#tag",
    "pickups.count_back": "pickups#returns",
    "office.review": "office#review",
    "office.review_orders": "office#review-orders",
    "office.order": "office#profit",
    "office.balloon_types": "office#balloon-types",
    "office.balloon_type": "office#balloon-types",
    "office.new_balloon_type": "office#balloon-types",
    "office.balloon_type_prices": "office#price-lists",
    "office.supply_prices": "office#price-lists",
    "office.colours": "office#colours",
    "office.weigh": "office#weigh",
    "office.supplies": "office#supplies",
    "office.supply": "office#supplies",
    "office.new_supply": "office#supplies",
    "office.designs": "office#designs",
    "office.design": "office#designs",
    "office.new_design": "office#designs",
    "office.design_of_photo": "office#photos",
    "office.stock": "office#stock",
    "office.stock_of_balloon_type": "office#stock",
    "office.stock_of_supply": "office#stock",
    "office.buying": "office#buying",
    "office.gas": "office#gas",
    "office.cylinder": "office#gas",
    "office.new_cylinder": "office#gas",
    "office.rentals": "office#rentals",
    "office.bench": "office#staff",
    "office.hours": "office#opening-hours",
    "office.closed_days": "office#closed-days",
    "office.work_times": "office#work-times",
    "office.timing": "office#timing",
    "office.home": "settings#how",
    "office.settings": "settings#how",
    "office.settings_of_subject": "settings#how",
    "office.settings_history": "office#changes",
    "office.backups": "office#backups",
    "office.first_day": "first-day#step-2",
    "health.show": "office#health",
    "staff.choose": "first-day#step-1",
}
"""The section by the endpoint of the page."""
HELP_OF_PLACES = {
    "counter": "counter#new-order",
    "bench": "bench#ticket",
    "pickups": "pickups#steps",
    "office": "office#settings",
    "staff": "first-day#step-1",
}
"""The section for what a place answers to a form that was not saved, by the name of the place."""


def help_address(endpoint: str | None) -> str:
    """Returns the address of the help for a page; empty for a page of the help itself."""
    name = endpoint or ""
    place = name.partition(".")[0]
    if place == "help":
        return ""
    chapter, _, section = (HELP_OF_PAGES.get(name) or HELP_OF_PLACES.get(place, "first-day#step-1")).partition("#")
    return url_for("help.chapter", chapter=chapter, _anchor=section)
