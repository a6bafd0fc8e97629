"""Stillaloft, the order board of a balloon counter."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from app.config import Config
    from app.web.requests import StillaloftFlask


def create_app(config: "Config") -> "StillaloftFlask":
    """Returns the app for a database that is migrated already.

    The imports stand inside the function, so that the pure packages work from a Python prompt without Flask.
    """
    from app.actions.shop.backups import BackupKeeper
    from app.actions.shop.new_shop import session_secret
    from app.places.bench.routes import bench
    from app.places.counter.open_quote import open_quote
    from app.places.counter.routes import counter
    from app.places.health.routes import health
    from app.places.help.routes import help_pages
    from app.places.office import office
    from app.places.photos.routes import photos
    from app.places.pickups.routes import pickups
    from app.places.staff.routes import staff
    from app.store.engine import Database
    from app.web import clock
    from app.web.compression import register_compression
    from app.web.day_echo import show_day_echo
    from app.web.errors import register_error_handlers
    from app.web.first_day import front_door
    from app.web.hours_echo import show_hours_echo
    from app.web.requests import StillaloftFlask
    from app.web.security import register_security
    from app.web.static_files import register_static_files
    from app.web.templates import register_template_globals

    app = StillaloftFlask(__name__, static_folder="../static")
    app.database = Database(config.database_url)
    app.backups = BackupKeeper(config.database_url, config.backups, is_invented=config.is_demo)
    with app.database.writing() as session:
        secret = session_secret(session)
    app.notes.opened_at = clock.now()
    form_protection = register_security(app, secret, config.trusted_hosts)
    form_protection.exempt(open_quote)  # it knows no session that another site could use
    register_compression(app)
    register_static_files(app)
    register_error_handlers(app)
    register_template_globals(app)
    for place in (counter, open_quote, bench, pickups, office, health, help_pages, staff, photos):
        app.register_blueprint(place)
    app.add_url_rule("/days/read", "day_echo", view_func=show_day_echo)
    app.add_url_rule("/hours/read", "hours_echo", view_func=show_hours_echo)
    app.add_url_rule("/", "front", view_func=front_door)
    return app
