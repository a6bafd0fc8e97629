"""This module handles the edge of a request: it opens one session and commits it once, before the answer leaves."""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cached_property
from typing import Any, TypeVar, cast

from flask import Flask, Response, current_app, g, request, session
from sqlalchemy.orm import Session
from werkzeug.routing import IntegerConverter, Map

from app.actions.context import Context
from app.actions.kept import KeptFindings
from app.actions.records.shop import BuiltShop, ShopCache
from app.actions.shop.backups import BackupKeeper
from app.quoting.catalogue import Catalogue
from app.quoting.colour_looks import ColourLook
from app.quoting.shop import Shop
from app.store.engine import Database
from app.store.queries.plan import SavedPlan, load_plan
from app.store.versions import BOARD
from app.web import clock
from app.web.formats import Formats
from app.web.htmx import no_change_response, shown_board
from app.web.kept import Kept
from app.web.lazy_rules import LazyRule
from app.web.notes import PlannerNotes, StoreNotes
from app.web.sessions import AgelessSessions

SAFE_METHODS = ("GET", "HEAD", "OPTIONS")
UNKNOWN_PERSON = "somebody"
MOST_JOBS, MOST_BOARDS, MOST_PICKUPS = 2000, 64, 32
"""So many batches, boards and days of pick-ups are kept as they were drawn."""

View = TypeVar("View", bound=Callable[..., Any])


@dataclass
class RequestContext:
    """What a view is handed: what every action needs, and what pages need besides, loaded when first asked for.

    uploaded: what the view's upload limits let it read before the session was opened. kept: what earlier requests
    found out.
    """

    session: Session
    now: datetime
    shop_cache: ShopCache
    uploaded: Any = None
    kept: KeptFindings = field(default_factory=KeptFindings)

    @cached_property
    def context(self) -> Context:
        """What every action is handed."""
        return Context(self.session, self.who, self.shop, self.catalogue, self.now, self.kept)

    @cached_property
    def _built(self) -> BuiltShop:
        return self.shop_cache.load(self.session)

    @property
    def shop(self) -> Shop:
        return self._built.shop

    @property
    def shop_version(self) -> int | None:
        """The version of shop and catalogue; None while this request itself has changed them."""
        return self._built.version

    @property
    def catalogue(self) -> Catalogue:
        return self._built.catalogue

    @property
    def own_colours(self) -> Mapping[str, ColourLook]:
        """How the shop's own colours look, by `colour_key`."""
        return self._built.own_colours

    @cached_property
    def formats(self) -> Formats:
        return Formats.of(self.shop)

    @cached_property
    def plan(self) -> SavedPlan:
        """The plan of the whole bench as it was last saved; no page waits for a new one."""
        return load_plan(self.session)

    @property
    def who(self) -> str:
        """The name with which this browser signs, or “somebody”."""
        return str(session.get("who", UNKNOWN_PERSON))

    @property
    def look(self) -> str:
        """“light” or “dark” if this device was told so; empty if its pages look as the device does."""
        return str(session.get("look", ""))


@dataclass(frozen=True, slots=True)
class UploadLimits:
    """The limits of a view that accepts more than an ordinary form, such as photos.

    read: reads what was sent. It may take time, because it is called before the session opens; what it returns is
    the context's `uploaded`. too_much: the sentence for somebody who sends more.
    """

    most_bytes: int
    most_parts: int
    too_much: str
    read: Callable[[], Any]


class _RolledBack(Exception):
    """Raised inside the session's block so that it rolls back, while the answer still leaves."""


def only_reads(view: View) -> View:
    """Marks a view that answers a POST but saves nothing, so that it runs without the write lock. Returns the
    view."""
    cast(Any, view).only_reads = True
    return view


def without_session(view: View) -> View:
    """Marks a view that is called without a session, because it answers also when the database is gone. Returns
    the view."""
    cast(Any, view).without_session = True
    return view


def polled(view: View) -> View:
    """Marks the view of a page that asks for itself with the version that it shows, as `v`. It is called only if
    there is something new. Returns the view."""
    cast(Any, view).polled = True
    return view


def accept_uploads(limits: UploadLimits) -> Callable[[View], View]:
    """Returns a decorator that marks a view with its upload limits."""

    def mark(view: View) -> View:
        cast(Any, view).limits = limits
        return view

    return mark


def current_upload_limits() -> UploadLimits | None:
    """Returns the upload limits of the view that this request calls; None when it has none."""
    return getattr(current_app.view_functions.get(request.endpoint or ""), "limits", None)


class RowNumber(IntegerConverter):
    """A number in an address that the databases can hold; no row has a longer one."""

    def __init__(self, url_map: Map) -> None:
        super().__init__(url_map, max=2**31 - 1)


class StillaloftFlask(Flask):
    """Flask with one rule: an answer leaves after its commit, and a refusal saves nothing.

    after_write: called between the commit and the answer, so it must be quick. planner_notes: None without a
    planner.
    """

    database: Database
    backups: BackupKeeper
    planner_notes: PlannerNotes | None
    session_interface = AgelessSessions()
    url_rule_class = LazyRule
    after_write: Callable[[], None]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.after_write = lambda: None
        self.notes, self.planner_notes = StoreNotes(), None
        self.forget()
        self.url_map.converters["int"] = RowNumber

    def forget(self) -> None:
        """Forgets what is kept of the database; the versions in one say nothing of those in another."""
        self.shop_cache, self.kept = ShopCache(), KeptFindings()
        self.kept_jobs: Kept[Any, Any] = Kept(MOST_JOBS)
        self.kept_boards: Kept[Any, Any] = Kept(MOST_BOARDS)
        self.kept_parts: Kept[str, Any] = Kept(MOST_BOARDS)
        self.kept_pickups: Kept[date, Any] = Kept(MOST_PICKUPS)
        self.shown_rows: Kept[str, Any] = Kept(MOST_BOARDS)

    def dispatch_request(self) -> Response:
        """Calls the view inside a session that writes if need be; an answer with status 400 or above rolls the
        session back."""
        if not self._needs_session():
            return self.make_response(super().dispatch_request())
        if self._is_up_to_date():
            return no_change_response()
        answer: Response | None = None
        writes, limits = self._needs_write(), current_upload_limits()
        uploaded = limits.read() if limits else None
        try:
            with self.database.writing() if writes else self.database.reading() as opened:
                with self.context_of(opened, uploaded):
                    answer = self.make_response(super().dispatch_request())
                if answer.status_code >= 400:
                    raise _RolledBack
            if writes:
                self.notes.written_at = clock.now()
                self.after_write()
        except _RolledBack:
            pass
        return cast(Response, answer)

    @contextmanager
    def context_of(self, opened: Session, uploaded: Any = None) -> Iterator[None]:
        """Gives this request its context, on an open session, while the block runs."""
        g.request_context = RequestContext(opened, clock.now(), self.shop_cache, uploaded, self.kept)
        try:
            yield
        finally:
            g.pop("request_context", None)

    def _needs_session(self) -> bool:
        """Returns whether the view of this request is called inside a session."""
        if request.endpoint == "static" or request.routing_exception is not None:
            return False
        return not hasattr(self.view_functions.get(request.endpoint or ""), "without_session")

    def _is_up_to_date(self) -> bool:
        """Returns whether this request is that of a page that polls and shows things as they are."""
        if not hasattr(self.view_functions.get(request.endpoint or ""), "polled"):
            return False
        board = shown_board(request.args.get("v", ""), clock.now())
        return board is not None and board == self.database.read_versions().get(BOARD)

    def _needs_write(self) -> bool:
        """Returns whether the view of this request needs a session that writes."""
        view = self.view_functions.get(request.endpoint or "")
        return request.method not in SAFE_METHODS and not hasattr(view, "only_reads")


def served_app() -> StillaloftFlask:
    """Returns the app that answers this request."""
    return cast(StillaloftFlask, current_app)


def has_context() -> bool:
    """Returns whether this request has a context, and so an open session."""
    return "request_context" in g


def request_context() -> RequestContext:
    """Returns the context of this request."""
    return cast(RequestContext, g.request_context)
