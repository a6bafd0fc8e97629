"""The browser of the tests and of the pictures of the help: where it is, and how it is started."""

import shutil

NAMED_HOST = "shop.test"
"""Chromium resolves it to this machine. Unlike 127.0.0.1 it is no secure context: what a shop's tablet sees."""

PROGRAMS = (
    "chromium-headless-shell",  # draws no windows around the pages, so that they take a quarter less time
    *("chromium", "chromium-browser", "google-chrome", "/usr/bin/chromium"),
)
SWITCHED_OFF_FEATURES = (
    # Pages of the browser's own windows: each new window would draw them, which takes longer than ours.
    *("PreloadTopChromeWebUI", "WebUIOmniboxPopup", "WebUIOmniboxAimPopup"),
    # What Playwright leaves out, too, when it is not told what to leave out.
    *("AvoidUnnecessaryBeforeUnloadCheckSync", "DestroyProfileOnBrowserClose", "HttpsUpgrades"),
    *("HttpsFirstBalancedModeAutoEnable", "LensOverlay", "MediaRouter", "PaintHolding", "OptimizationHints"),
    *("ThirdPartyStoragePartitioning", "AimEnabled"),
)
ARGUMENTS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--lang=en-US",
    f"--disable-features={','.join(SWITCHED_OFF_FEATURES)}",
    f"--host-resolver-rules=MAP {NAMED_HOST} 127.0.0.1",
)


def find_chromium():
    """Returns where a Chromium is; None if none is installed."""
    return next((found for name in PROGRAMS if (found := shutil.which(name))), None)
