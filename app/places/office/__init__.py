"""Office: the review, settings, opening hours, staff, balloon types, supplies, stock and designs."""

from flask import Blueprint

from app.places.office import (
    backups,
    balloon_types,
    closed_days,
    colours,
    designs,
    first_day,
    gas,
    hours,
    long_work,
    prices,
    rentals,
    review,
    review_orders,
    settings,
    settings_history,
    shifts,
    stock,
    stock_article,
    stock_buying,
    stock_lots,
    supplies,
    timing,
    weighing,
    work_times,
)

office = Blueprint("office", __name__, url_prefix="/office")
STOCK = (stock, stock_article, stock_lots, stock_buying)
GOODS = (balloon_types, colours, weighing, timing, work_times, supplies, prices, *STOCK, designs, gas)
HOURS = (hours, closed_days, shifts)
REVIEW = (review, review_orders)
SHOP = (first_day, settings, settings_history, backups, long_work)
for page_module in (*SHOP, *HOURS, *GOODS, rentals, *REVIEW):
    page_module.register(office)
