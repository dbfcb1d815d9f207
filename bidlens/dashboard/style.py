"""All of the dashboard's CSS, its theme values and its mark, from the palettes the figures use."""

from __future__ import annotations

from typing import Any

from bidlens.figures import DARK, LIGHT, Palette

FONT = '"Source Sans", "Source Sans 3", "Segoe UI", "Helvetica Neue", Arial, "Nimbus Sans", sans-serif'
CODE_FONT = '"Source Code", "Source Code Pro", Consolas, "DejaVu Sans Mono", monospace'


def theme_flags() -> dict[str, Any]:
    """Theme settings for both modes, as flags of the server."""
    flags: dict[str, Any] = {"theme_baseFontSize": 16}
    for mode, colors in (("light", LIGHT), ("dark", DARK)):
        values = {
            "primaryColor": colors.own,
            "backgroundColor": colors.paper,
            "secondaryBackgroundColor": colors.field,
            "textColor": colors.ink,
            "linkColor": colors.own,
            "borderColor": colors.rule,
            "dataframeBorderColor": colors.faint,
            "codeBackgroundColor": colors.field,
            "codeTextColor": colors.ink,
            "baseRadius": "2px",
            "buttonRadius": "2px",
        }
        flags |= {f"theme_{mode}_{name}": value for name, value in values.items()}
    return flags


def mark(colors: Palette) -> str:
    """The mark: a dimension line with a flag diamond on it, as SVG text."""
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" width="96" height="40" viewBox="0 0 96 40">'
        f'<g stroke="{colors.ink}" stroke-width="3" fill="none">'
        '<path d="M10 20H86"/><path d="M4 28L16 12"/><path d="M80 28L92 12"/></g>'
        f'<path d="M48 8L60 20L48 32L36 20Z" fill="{colors.flag}" stroke="{colors.ink}" stroke-width="2.5"/></svg>'
    )


def on_own(colors: Palette) -> str:
    """Color of words on the color of our own history, as on a primary button."""
    return "#FFFFFF" if colors.name == "light" else colors.paper


def css(colors: Palette) -> str:
    """The style sheet, as a style element."""
    names = [role for role in colors.__slots__ if role != "name"]
    roles = ";".join(f"--bl-{role}:{getattr(colors, role)}" for role in names)
    both = ";".join(f"--bl-{role}:light-dark({getattr(LIGHT, role)},{getattr(DARK, role)})" for role in names)
    both += f";--bl-on-own:light-dark({on_own(LIGHT)},{on_own(DARK)})"
    fonts = f"--bl-font:{FONT};--bl-code:{CODE_FONT}"
    printed = _PRINTED_DARK if colors.name == "dark" else ""
    # Within the page colors follow a change of mode at once; menus stand outside of it and follow with the next run.
    at_once = f"@supports(color:light-dark(#fff,#000)){{.stApp{{{both}}}}}"
    return f"<style>:root{{{roles};--bl-on-own:{on_own(colors)};{fonts}}}{at_once}{_RULES}{printed}</style>"


_RULES = """
:has(>.st-key-mode_watch),.st-key-mode_watch{display:none}
[data-testid="stMainBlockContainer"]{padding:56px 35px 40px;max-width:1850px}
[data-testid="stHeader"]{border-bottom:1px solid var(--bl-rule);background:var(--bl-paper);height:48px;min-height:48px}
@media screen and (min-width:900px){:has(>.st-key-ways){position:fixed;z-index:999991;top:11px;left:90px;width:auto}}
.st-key-ways{gap:2px 4px} .st-key-ways a{border-radius:2px;margin:0;padding:4px 8px}
.st-key-papers_row [data-testid="stPageLink"] a{margin:0 0 10px;color:var(--bl-ink);text-decoration:underline}
.st-key-ways a:has(strong){background:var(--bl-field)}
[data-testid="stVerticalBlock"]{gap:.75rem}
[data-testid="stToolbarActions"],[data-testid="stStatusWidget"] img{display:none}
.bl-head{display:flex;justify-content:space-between;gap:0 24px;font-size:15px;line-height:1.4;color:var(--bl-soft);
  flex-wrap:wrap}
.bl-question{font-size:17px;line-height:1.35;font-weight:600;color:var(--bl-soft);margin:-4px 0 0}
.bl-answer{font-size:29px;line-height:1.24;font-weight:400;max-width:1120px;margin:0;padding:0;color:var(--bl-ink);
  font-family:var(--bl-font);letter-spacing:normal;text-wrap:balance}
.bl-answer b{font-weight:700}
.bl-support{font-size:17px;line-height:1.45;color:var(--bl-soft);max-width:1120px;margin:4px 0 0}
.bl-own{color:var(--bl-own)} .bl-flag{color:var(--bl-flagtext)}
.bl-block{display:flex;border:1px solid var(--bl-soft);margin-top:-2px}
.bl-block>div{flex:1 1 auto;padding:5px 14px 6px;border-left:1px solid var(--bl-rule);margin-left:-1px;min-width:0;
  line-height:1.3}
.bl-block>div:first-child{border-left:0}
.bl-block>.bl-nowrap{flex-shrink:0;white-space:nowrap}
@media screen and (max-width:1000px){.bl-block{flex-wrap:wrap}}
.bl-block span{display:block;font-size:12.5px;line-height:1.3;color:var(--bl-soft)}
.bl-block b{font-weight:400;font-size:16px;line-height:1.3;overflow-wrap:break-word}
.bl-section{font-size:19px;font-weight:600;line-height:1.3;margin:14px 0 0;padding:0;font-family:var(--bl-font);
  color:var(--bl-ink);letter-spacing:normal}
.st-key-compare_row{margin-top:-4px} .st-key-compare_row button{min-height:36px;padding-block:4px}
.st-key-first_pictures .bl-section{margin-top:0} .st-key-first_pictures [data-testid="stVerticalBlock"]{gap:8px}
.bl-lead{font-size:15px;color:var(--bl-soft);margin:2px 0 0}
.bl-table{width:100%;border-collapse:collapse;font-size:15px;line-height:1.35;overflow-wrap:break-word}
.bl-table th{font-weight:600;font-size:13.5px;color:var(--bl-soft);text-align:left;vertical-align:bottom;
  border-bottom:1.5px solid var(--bl-ink);padding:4px 10px 5px 0}
.bl-table thead td{border-bottom:1.5px solid var(--bl-ink)}
.bl-table tbody td{border-bottom:1px solid var(--bl-faint);padding:6px 10px 6px 0;vertical-align:top}
.bl-table .bl-n{text-align:right;white-space:nowrap} .bl-table .bl-nowrap{white-space:nowrap}
.bl-table .bl-n+td:not(.bl-n),.bl-table .bl-n+th:not(.bl-n){padding-left:10px}
.bl-table td:last-child,.bl-table th:last-child{padding-right:0}
.bl-table tr.bl-total td{border-top:1.5px solid var(--bl-ink);border-bottom:0;font-weight:700}
.bl-table tr.bl-total td:first-child{white-space:normal}
.bl-table tr.bl-picked td{background:var(--bl-field)}
.bl-table a,.bl-trail a,.bl-lead a{color:var(--bl-ink);text-decoration:underline}
.bl-scroll{overflow-x:auto}
[class*="_decision_rows"]{gap:0!important}
[class*="_decision_rows"] [data-testid="stHorizontalBlock"]{border-bottom:1px solid var(--bl-faint);padding:4px 0}
[class*="_decision_rows"]>:first-child [data-testid="stHorizontalBlock"]{border-bottom:1.5px solid var(--bl-ink)}
[class*="_decision_rows"] button{min-height:32px;padding-block:2px}
.bl-decision-head{font-size:13.5px;font-weight:600;color:var(--bl-soft)}
[class*="_decision_rows"] small{color:var(--bl-soft);font-size:13px}
.bl-paper{display:none}
.bl-formula{font-family:var(--bl-code);font-size:13.5px;color:var(--bl-soft)}
.bl-panel-head{font-size:15px;font-weight:600;color:var(--bl-soft);margin:0}
[data-testid="stPopoverBody"]:has(.st-key-filter_panel){min-width:760px}
[data-testid="stBaseButton-tertiary"]{text-decoration:underline}
.bl-filters{font-size:15px;line-height:1.4;margin:0;padding:5px 12px;border-left:3px solid var(--bl-own);
  background:var(--bl-field)}
.bl-note{background:var(--bl-field);border-left:1px solid var(--bl-ink);padding:9px 14px;font-size:16px;
  line-height:1.4;margin:0 0 10px;overflow-wrap:anywhere}
.bl-note.bl-check{border-left:8px double var(--bl-ink)}
.bl-note.bl-stopped{background:var(--bl-paper);border:2px solid var(--bl-stop);border-left-width:10px}
.bl-note small,.bl-soft{color:var(--bl-soft);font-size:15px}
.bl-not-given{font-style:italic;color:var(--bl-soft);border-bottom:1px dotted var(--bl-soft)}
.bl-empty{border:1px dashed var(--bl-soft);padding:18px 22px;max-width:760px;font-size:17px;line-height:1.5}
.bl-empty ol{margin:4px 0 0;padding-left:22px} .bl-empty p{margin:0}
ol.bl-steps{display:flex;flex-wrap:wrap;list-style:none;counter-reset:step;margin:4px 0 0;padding:0;
  border:1px dashed var(--bl-soft);font-size:15px;line-height:1.4}
ol.bl-steps>li{counter-increment:step;flex:1 1 240px;margin:0;padding:8px 14px 9px;border-left:1px solid var(--bl-rule)}
ol.bl-steps>li:first-child{border-left:0}
.bl-steps b{display:block;font-weight:600}.bl-steps b::before{content:counter(step) "  "}
.bl-steps i{font-style:normal;font-weight:600} .bl-steps span{color:var(--bl-soft)}
.bl-steps a{color:var(--bl-ink)} .bl-steps .bl-step-done b::before{content:"✓  "}
.bl-steps .bl-step-next{background:var(--bl-field)} .bl-steps .bl-step-next span{color:var(--bl-ink)}
.bl-trail{display:flex;flex-wrap:wrap;border:1px solid var(--bl-soft);font-size:15px;line-height:1.5}
.bl-trail>div{flex:1 1 210px;padding:10px 14px;border-left:1px solid var(--bl-rule);margin-left:-1px;min-width:0;
  overflow-wrap:anywhere}
.bl-trail>div:nth-child(2){flex:1.9 1 380px} .bl-trail>div:nth-child(3){flex:1.7 1 360px}
.bl-trail>.bl-wide{flex:1 1 100%;border-top:1px solid var(--bl-rule);background:var(--bl-field)}
.bl-trail h3{font-size:13.5px;font-weight:400;color:var(--bl-soft);margin:0 0 4px;padding:0;line-height:1.3;
  font-family:var(--bl-font)}
.bl-trail .bl-table td{padding:3px 8px 3px 0;font-size:14.5px}
.bl-trail .bl-table td:last-child{padding-right:0} .bl-sheet .bl-nowrap{white-space:nowrap}
.bl-trail .bl-table small{display:block;font-size:13px;line-height:1.3;color:var(--bl-soft)}
.bl-trail .bl-lead{margin:0 0 6px}
.bl-sheet{border-collapse:collapse;font-family:var(--bl-code);font-size:13px;line-height:1.4;background:var(--bl-paper)}
.bl-sheet th,.bl-sheet td{border:1px solid var(--bl-rule);padding:3px 8px;text-align:left;vertical-align:top;
  font-weight:400;max-width:340px;overflow-wrap:break-word}
.bl-sheet th{color:var(--bl-soft);background:var(--bl-field);text-align:center}
.bl-sheet .bl-heads td{color:var(--bl-soft);border-bottom-color:var(--bl-ink)}
.bl-sheet .bl-read td{background:var(--bl-band50);color:var(--bl-ink);font-weight:700}
.bl-caution{border-top:1px solid var(--bl-rule);font-size:14px;line-height:1.5;color:var(--bl-soft);
  max-width:1120px;padding-top:12px;margin-top:26px}
.bl-caution p{margin:0;font-size:14px}
[data-testid="stFileChip"] [role="alert"]{position:static!important;clip:auto!important;clip-path:none!important;
  width:auto!important;height:auto!important;margin:0 0 0 12px!important;overflow:visible!important;
  white-space:normal!important;font-size:15px;color:var(--bl-stop)}
[data-testid="stFileChip"]:has([role="alert"]){width:auto!important;max-width:none!important;
  background:var(--bl-paper)!important;border:1px solid var(--bl-stop)}
[data-testid="stBaseButton-primary"],[data-testid="stBaseButton-primaryFormSubmit"]{color:var(--bl-on-own)}
@page{size:14in 10.82in;margin:.45in}
@media print{
  [data-testid="stHeader"],.st-key-ways,[data-testid="stPageLink"],[data-testid="stToolbar"],
  [data-testid="stPopover"],[data-testid="stDownloadButton"],
  [data-testid="stFileUploader"],[data-testid="stButton"],[data-testid="stFormSubmitButton"],
  [data-testid="stButtonGroup"],[data-testid="stSelectbox"],[data-testid="stMultiSelect"],
  [data-testid="stElementToolbar"],[data-testid="stSkeleton"]{display:none!important}
  html,body,#root,.stApp,[data-testid="stAppViewContainer"],[data-testid="stMain"],
  [data-testid="stMainBlockContainer"]{overflow:visible!important;height:auto!important;min-height:0!important;
  position:static!important;display:block!important}
  [data-testid="stMainBlockContainer"]{padding:0;max-width:none;width:min-content;min-width:1215px}
  [data-testid] .svg-container,[data-testid] .plot-container{width:auto!important}
  .svg-container>.main-svg:first-of-type{position:static!important}
  [data-testid="stPlotlyChart"]{contain:none!important}
  [data-testid="stHorizontalBlock"]{display:flex!important;flex-wrap:nowrap!important}
  [data-testid="stColumn"]:has(.js-plotly-plot){flex:0 0 auto!important;width:min-content!important}
  [data-testid="stMainBlockContainer"] :is([data-testid],[class*="plot"],.svg-container,.main-svg){
    overflow:visible!important;max-width:none!important}
  .bl-scroll,.bl-source{overflow:visible}
  .bl-paper{display:block} .bl-paper .bl-table,.bl-paper .bl-table th{font-size:12.5px}
  [class*="_on_paper"] [data-testid="stElementContainer"]:has([data-testid="stDataFrame"]){display:none!important}
  .bl-table thead{display:table-header-group} .bl-table tr,.bl-note,.bl-block,.bl-trail>div{break-inside:avoid}
  [data-testid="stElementContainer"]:has(.js-plotly-plot),[data-testid="stHorizontalBlock"]{break-inside:avoid}
  .bl-section,.bl-lead{break-after:avoid}
}
"""

#: A dark page is turned round for paper: white ground, dark words, and hues as they were.
_PRINTED_DARK = """
@media print{
  html,body{background:#fff!important} .stApp{background:#000!important;filter:invert(1) hue-rotate(180deg)}
  .js-plotly-plot .main-svg{background:transparent!important} .js-plotly-plot .bg{fill:transparent!important}
}
"""
