/**
 * How the sheet looks: a printed form. Ink on white, thin rules, square boxes, numbers that stand under
 * one another. Fills are Okabe and Ito's colours, with black signs on them (contrast above 5:1).
 */
export const STYLE = `
:root { color-scheme: light; --ink: #1a1a1a; --quiet: #555; --rule: #b9b9b9; --green: #009e73; --orange: #e69f00; --vermillion: #d55e00; --blue: #0072b2; }
* { box-sizing: border-box; }
html { -webkit-text-size-adjust: 100%; text-size-adjust: 100%; }
body { margin: 0 auto; padding: 1.5rem 1.25rem 3rem; max-width: 62rem; background: #fff; color: var(--ink); font: 1rem/1.45 "Segoe UI", "Helvetica Neue", Helvetica, Arial, "Liberation Sans", "DejaVu Sans", sans-serif; font-variant-numeric: tabular-nums; print-color-adjust: exact; -webkit-print-color-adjust: exact; counter-reset: part; }
h1, h2, h3 { line-height: 1.2; }
h1 { margin: 0; font-size: 1.05rem; text-transform: uppercase; letter-spacing: .14em; }
h2 { counter-increment: part; margin: 2.6rem 0 .8rem; padding-top: .45rem; border-top: 3px solid var(--ink); font-size: 1.15rem; display: flex; gap: .7rem; align-items: baseline; }
h2::before { content: counter(part); flex: none; min-width: 1.7em; padding: .05em .3em; border: 1.5px solid var(--ink); text-align: center; font-size: .95rem; }
h3 { margin: 1.5rem 0 .4rem; font-size: 1.02rem; }
p { margin: .4rem 0; max-width: 46rem; }
.quiet, small { color: var(--quiet); font-size: .86rem; }
.sheet { border: 2px solid var(--ink); }
.sheet > header { padding: .7rem .9rem; border-bottom: 2px solid var(--ink); }
.facts { display: grid; grid-template-columns: repeat(3, 1fr); margin: 0; }
.facts > div { padding: .35rem .9rem .45rem; border-bottom: 1px solid var(--rule); border-right: 1px solid var(--rule); min-width: 0; }
.facts > div:nth-child(3n) { border-right: 0; }
.facts dt { color: var(--quiet); font-size: .74rem; text-transform: uppercase; letter-spacing: .08em; }
.facts dd { margin: 0; overflow-wrap: anywhere; }
.verdict { padding: 1rem .9rem .9rem; border-top: 1px solid var(--ink); }
.verdict p { margin: 0 0 .7rem; font-size: 1.45rem; line-height: 1.25; font-weight: 700; max-width: none; }
.verdict[data-level="fail"] { border-left: 14px solid var(--vermillion); }
.verdict[data-level="caution"] { border-left: 14px solid var(--orange); }
.verdict[data-level="none-found"] { border-left: 14px solid var(--blue); }
.verdict[data-level="nothing-judged"] { border-left: 14px double var(--ink); }
.tally { display: flex; flex-wrap: wrap; gap: 3px; margin: 0 0 .35rem; padding: 0; list-style: none; }
.sign { display: inline-block; width: 1.25rem; height: 1.25rem; line-height: 1.2rem; border: 1px solid var(--ink); text-align: center; font-weight: 700; font-size: .85rem; flex: none; background: #fff; color: var(--ink); }
.sign.pass { background: var(--green); }
.sign.caution { background: var(--orange); }
.sign.fail { background: var(--vermillion); }
.sign.not-judged { border-style: dashed; font-weight: 400; }
.answers { margin: 0; border-top: 1px solid var(--ink); }
.answers > div { display: grid; grid-template-columns: 17rem 1fr; gap: .2rem 1rem; padding: .5rem .9rem; border-top: 1px solid var(--rule); }
.answers > div:first-child { border-top: 0; }
.answers dt { font-weight: 700; }
.answers dd { margin: 0; }
ol.steps { margin: .3rem 0 .8rem; padding: 0; list-style: none; }
ol.steps > li { display: grid; grid-template-columns: 2.4rem 1.6rem 1fr; align-items: baseline; padding: .5rem 0; border-top: 1px solid var(--rule); }
ol.steps > li:first-child { border-top: 0; }
ol.steps .number { font-weight: 700; text-align: right; padding-right: .7rem; }
label { display: block; }
input[type="checkbox"] { appearance: none; -webkit-appearance: none; width: 1rem; height: 1rem; margin: 0; border: 1.5px solid var(--ink); background: #fff; position: relative; top: .12rem; flex: none; }
input[type="checkbox"]:checked { background: linear-gradient(45deg, transparent 42%, var(--ink) 42% 58%, transparent 58%), linear-gradient(-45deg, transparent 42%, var(--ink) 42% 58%, transparent 58%); }
input[type="checkbox"]:focus-visible, [tabindex]:focus-visible, a:focus-visible { outline: 3px solid var(--blue); outline-offset: 2px; }
.tag { display: inline-block; padding: 0 .4em; border: 1px solid var(--ink); font-size: .76rem; text-transform: uppercase; letter-spacing: .05em; white-space: nowrap; margin-right: .4em; }
.careful { margin: .2rem 0 .4rem; padding: .3rem .6rem; border-left: 5px solid var(--orange); font-size: .92rem; max-width: 46rem; }
.careful.stop { border-left-color: var(--vermillion); font-weight: 600; }
.finding { margin: 0 0 1.3rem; padding: 0 0 0 1rem; border-left: 5px solid var(--rule); }
.finding.stop, .finding.fail { border-left-color: var(--vermillion); }
.finding.caution { border-left-color: var(--orange); }
.finding h3 { margin-top: 0; }
ul.evidence { margin: .3rem 0; padding: 0; list-style: none; font-size: .92rem; }
ul.evidence li { display: grid; grid-template-columns: 1rem minmax(9rem, max-content) 1fr; gap: .6rem; padding: .15rem 0; }
.when { color: var(--quiet); white-space: nowrap; }
.scroll { overflow-x: auto; }
svg.figure { display: block; width: 100%; min-width: 42rem; height: auto; font: 12px "Segoe UI", "Helvetica Neue", Helvetica, Arial, "Liberation Sans", "DejaVu Sans", sans-serif; fill: var(--ink); }
svg.figure .strong { font-weight: 700; }
svg.figure .quiet { fill: var(--quiet); }
svg.figure .mark { font-weight: 700; }
svg.figure .small { font-size: 10px; }
svg.figure .halo { stroke: #fff; stroke-width: 3px; paint-order: stroke; }
table { width: 100%; border-collapse: collapse; font-size: .94rem; }
caption { text-align: left; padding: 0 0 .4rem; color: var(--quiet); font-size: .88rem; }
th, td { padding: .4rem .7rem .4rem 0; border-top: 1px solid var(--rule); text-align: left; vertical-align: top; }
thead th { border-top: 0; border-bottom: 1.5px solid var(--ink); font-size: .78rem; text-transform: uppercase; letter-spacing: .06em; }
tbody th { font-weight: 600; }
tbody th small { display: block; font-weight: 400; overflow-wrap: anywhere; }
table.checks { table-layout: fixed; }
table.checks th:nth-child(1) { width: 23%; }
table.checks th:nth-child(2) { width: 12%; }
table.checks th:nth-child(3) { width: 14%; }
table.checks th:nth-child(4) { width: 15%; }
td.number, td.result { white-space: nowrap; }
.manual { columns: 2; column-gap: 2.2rem; }
.manual section { margin-bottom: 1.1rem; }
.manual h3 { margin: 0 0 .3rem; border-bottom: 1px solid var(--ink); break-after: avoid; }
.manual ul { margin: 0; padding: 0; list-style: none; }
.manual li { padding: .28rem 0; break-inside: avoid; }
.manual li label { display: grid; grid-template-columns: 1.6rem 1fr; }
ul.plain { margin: 0; padding: 0; list-style: none; }
ul.plain li { padding-left: 1.1em; text-indent: -1.1em; }
.signed-off { display: grid; grid-template-columns: repeat(3, 1fr); gap: 1.6rem; margin-top: 2.4rem; }
.signed-off div { border-top: 1px solid var(--ink); padding-top: .2rem; color: var(--quiet); font-size: .82rem; }
@media (max-width: 40rem) {
  body { padding: .75rem .75rem 2rem; }
  .facts { grid-template-columns: 1fr 1fr; }
  .facts > div:nth-child(3n) { border-right: 1px solid var(--rule); }
  .facts > div:nth-child(2n) { border-right: 0; }
  .answers > div { grid-template-columns: 1fr; }
  .verdict p { font-size: 1.2rem; }
  .manual { columns: 1; }
  table.checks th:nth-child(n) { width: auto; }
  ul.evidence li { grid-template-columns: auto 1fr; }
  ul.evidence li > :last-child { grid-column: 1 / -1; }
  table.stack, table.stack caption, table.stack tbody, table.stack tr, table.stack th, table.stack td { display: block; }
  table.stack thead { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); }
  table.stack tr { padding: .5rem 0; border-top: 1px solid var(--ink); }
  table.stack th, table.stack td { padding: .1rem 0; border: 0; white-space: normal; }
  table.stack td[data-label]::before { content: attr(data-label) ": "; color: var(--quiet); font-size: .8rem; }
  table.stack td:empty { display: none; }
}
@page { margin: 14mm 13mm; }
@media print {
  html { font-size: 8.8pt; }
  body { max-width: none; padding: 0; }
  p, .careful { max-width: none; }
  h2 { margin-top: 1.6rem; break-after: avoid; }
  h3, caption, thead { break-after: avoid; }
  tr, li, .sheet, .careful, .signed-off { break-inside: avoid; }
  .answers > div { grid-template-columns: 17rem 1fr; }
  .scroll { overflow: visible; break-inside: avoid; }
  svg.figure { min-width: 0; max-height: 225mm; }
}
`
