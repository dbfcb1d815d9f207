"""The commands, one family a module: arguments in, a question to `workflow`, an answer from `report` out.

Each module has `add_commands(add)`, where `add(name, run, text)` returns the parser of the command for its arguments.
"""

from bidlens.commands import (
    bring,
    check,
    compare,
    decide,
    forecast,
    forecasts,
    history,
    items,
    keep,
    links,
    offers,
    review,
    show,
)

#: In the order they are listed by `bidlens --help`.
FAMILIES = (show, bring, decide, history, check, offers, forecast, forecasts, review, compare, items, links, keep)
