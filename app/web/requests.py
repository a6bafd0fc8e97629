"""The edge of a request: one session, committed once, before the answer leaves."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from typing import Any, TypeVar, cast

from flask import Flask, Response, current_app, g, request, session
from sqlalchemy.orm import Session
from werkzeug.routing import IntegerConverter, Map

from app.actions.context import Context
from app.actions.records.shop_cache import BuiltShop, ShopCache
from app.quoting.catalogue import Catalogue
from app.quoting.shop import Shop
from app.store.engine import Database
from app.store.queries.plan import SavedPlan, load_plan
from app.web import clock
from app.web.formats import Formats

SAFE_METHODS = ("GET", "HEAD", "OPTIONS")
NOBODY = "somebody"

View = TypeVar("View", bound=Callable[..., Any])


@dataclass
class RequestContext:
    """What a view is handed: what every action needs, and what pages need besides, loaded when first asked for.

    brought: what the view's upload limits let it read before the session was opened.
    """

    session: Session
    now: datetime
    shop_cache: ShopCache
    brought: Any = None

    @cached_property
    def context(self) -> Context:
        """What every action is handed."""
        return Context(self.session, self.who, self.shop, self.catalogue, self.now)

    @cached_property
    def _built(self) -> BuiltShop:
        return self.shop_cache.load(self.session)

    @property
    def shop(self) -> Shop:
        return self._built.shop

    @property
    def catalogue(self) -> Catalogue:
        return self._built.catalogue

    @cached_property
    def formats(self) -> Formats:
        return Formats.of(self.shop)

    @cached_property
    def plan(self) -> SavedPlan:
        """Of the whole bench, as it was last worked out; nobody waits for it."""
        return load_plan(self.session)

    @property
    def who(self) -> str:
        return str(session.get("who", NOBODY))


@dataclass(frozen=True, slots=True)
class UploadLimits:
    """What a view takes beyond a form of words: how much of it, read how. `read` may take its time: it is called
    before the session opens, with the request read to its end, and what it gives is the context's `brought`.
    too_much: the sentence where more is sent."""

    most_bytes: int
    most_parts: int
    too_much: str
    read: Callable[[], Any]


class _TakenBack(Exception):
    """Leaves the session's block so that it rolls back; the answer stands."""


def only_reads(view: View) -> View:
    """Marks a view that answers a POST but keeps nothing: it runs without the write lock."""
    cast(Any, view).only_reads = True
    return view


def takes(load: UploadLimits) -> Callable[[View], View]:
    """Marks a view that takes more than a form of words."""

    def mark(view: View) -> View:
        cast(Any, view).load = load
        return view

    return mark


def upload_limits_asked() -> UploadLimits | None:
    """Of the view that this request asks for."""
    return getattr(current_app.view_functions.get(request.endpoint or ""), "load", None)


class RowNumber(IntegerConverter):
    """A number in an address that the databases can hold; a longer one is nobody's."""

    def __init__(self, url_map: Map) -> None:
        super().__init__(url_map, max=2**31 - 1)


class StillaloftFlask(Flask):
    """Flask, with one rule: an answer leaves after its commit, and a refusal leaves nothing behind.

    after_write: called between commit and answer, so it must not take time.
    """

    database: Database
    after_write: Callable[[], None]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.after_write = lambda: None
        self.shop_cache = ShopCache()
        self.url_map.converters["int"] = RowNumber

    def dispatch_request(self) -> Response:
        if request.endpoint == "static" or request.routing_exception is not None:
            return self.make_response(super().dispatch_request())
        answer: Response | None = None
        writes, load = self._writes(), upload_limits_asked()
        brought = load.read() if load else None
        try:
            with self.database.writing() if writes else self.database.reading() as opened:
                g.request_context = RequestContext(opened, clock.now(), self.shop_cache, brought)
                answer = self.make_response(super().dispatch_request())
                if answer.status_code >= 400:
                    raise _TakenBack
            if writes:
                self.after_write()
        except _TakenBack:
            pass
        finally:
            g.pop("request_context", None)
        return cast(Response, answer)

    def _writes(self) -> bool:
        view = self.view_functions.get(request.endpoint or "")
        return request.method not in SAFE_METHODS and not hasattr(view, "only_reads")


def request_context() -> RequestContext:
    """The context of this request."""
    return cast(RequestContext, g.request_context)
