//! How the page looks: on a screen, on a phone, on paper.
//!
//! In: nothing. Out: the style sheet of every report.
//! Never: fetches anything; tells anything by colour alone.

/// The style sheet.
pub(super) const STYLE: &str = r"
:root { color-scheme: light dark;
  --ink: #16181b; --soft: #4c5157; --line: #b9bec4; --faint: #e6e8ea; --paper: #ffffff; --shade: #f4f5f6;
  --bad: #93180f; --wait: #6d4a00; --good: #1c5c30; }
@media (prefers-color-scheme: dark) { :root {
  --ink: #e9e7e2; --soft: #b7b4ad; --line: #5b5d60; --faint: #33363a; --paper: #16181b; --shade: #1f2226;
  --bad: #ff9d8f; --wait: #f0c36a; --good: #8fd6a4; } }
* { box-sizing: border-box; }
html { background: var(--paper); -webkit-text-size-adjust: 100%; text-size-adjust: 100%; }
body { margin: 0 auto; padding: 1.5rem 1rem 3rem; max-width: 50rem; color: var(--ink);
  font: 1rem/1.45 Charter, 'Bitstream Charter', 'Source Serif 4', Cambria, 'Liberation Serif', Georgia, serif;
  font-variant-numeric: lining-nums; overflow-wrap: break-word; }
h1, h2, h3, h4 { line-height: 1.2; margin: 0; text-wrap: balance; }
h1 { font-size: 1.75rem; letter-spacing: -.01em; }
h2 { font-size: 1.3rem; margin: 2.4rem 0 .6rem; padding-bottom: .25rem; border-bottom: 2px solid var(--ink); }
h3 { font-size: 1.05rem; margin: 1.5rem 0 .4rem; }
h4 { font-size: 1rem; font-weight: 600; }
p, ul, ol, dl, figure { margin: .4rem 0; }
ul, ol { padding-left: 1.25rem; }
a { color: inherit; text-decoration-thickness: 1px; text-underline-offset: .15em; text-decoration-color: var(--soft); }
a:focus-visible, [tabindex]:focus-visible { outline: 2px solid var(--ink); outline-offset: 2px; }
code { font: .82em/1.3 'DejaVu Sans Mono', Menlo, Consolas, 'Liberation Mono', monospace; color: var(--soft); }
.soft, .from, small { color: var(--soft); }
.from, small { font-size: .86rem; }
.kicker { margin: 0 0 .2rem; color: var(--soft); font-size: .9rem; }
.facts { display: grid; grid-template-columns: max-content 1fr; gap: .1rem 1rem; margin: .8rem 0; font-size: .95rem; }
.facts dt { color: var(--soft); } .facts dd { margin: 0; }
.verdict { margin: 1.2rem 0 0; padding: .8rem 1rem .9rem; border: 2px solid currentColor; border-left-width: .7rem; }
.verdict p, .verdict li { color: var(--ink); margin: .25rem 0 0; }
.verdict .word { font-size: 1.7rem; line-height: 1.1; font-weight: 700; letter-spacing: .02em; margin: 0; color: inherit; }
.fail, .unworkable { color: var(--bad); } .unsure, .waiting, .advice { color: var(--wait); } .pass { color: var(--good); }
.tag { font-weight: 700; font-size: .82rem; letter-spacing: .03em; white-space: nowrap; }
.steps > li { margin: .55rem 0; } .steps p { margin: .1rem 0; }
.scroll { overflow-x: auto; margin: .4rem 0 .8rem; }
table { border-collapse: collapse; width: 100%; font-size: .93rem; line-height: 1.35; }
caption { text-align: left; color: var(--soft); font-size: .86rem; padding-bottom: .2rem; }
th, td { text-align: left; vertical-align: top; padding: .28rem .8rem .28rem 0; border-bottom: 1px solid var(--faint);
  font-weight: 400; }
th:last-child, td:last-child { padding-right: 0; }
thead th { border-bottom: 1px solid var(--ink); font-size: .84rem; font-weight: 600; vertical-align: bottom; }
td.n, th.n { text-align: right; font-variant-numeric: tabular-nums lining-nums; white-space: nowrap; }
td.words, th.words { min-width: 4.5rem; overflow-wrap: anywhere; } td.v .from { white-space: normal; } td.v { white-space: nowrap; font-variant-numeric: tabular-nums lining-nums; }
.files th, .files code { overflow-wrap: anywhere; } .rows tbody th { min-width: 5.5rem; }
.rows { font-size: .84rem; } .rows th, .rows td { padding-right: .6rem; } .rows thead th { font-size: .78rem; }
.calc { margin: .9rem 0 1.1rem; padding-left: .9rem; border-left: 1px solid var(--line); break-inside: avoid; }
.limit { border-left-width: 3px; }
.eq { display: grid; grid-template-columns: max-content minmax(0, 1fr); gap: .25rem .45rem; align-items: baseline;
  margin: .4rem 0; overflow-x: auto; overflow-y: hidden; padding: .1rem 0; }
.eq > :nth-child(odd) { text-align: right; }
.eq .result { font-weight: 600; }
math { font-size: 1.06em; font-family: 'Latin Modern Math', 'STIX Two Math', 'Cambria Math', 'Libertinus Math', math; }
.formula { line-height: 1.7; }
.sr { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); white-space: nowrap; }
th .u { font-weight: 400; }
.part { display: inline-block; max-width: 100%; vertical-align: baseline; margin-right: .25em; }
section > p { break-after: avoid; }
.use { display: inline-flex; flex-wrap: wrap; align-items: center; gap: .1rem .5rem; margin-right: .8rem; }
.glance .use { margin: 0; } .glance .share { min-width: 4.2rem;
  font-variant-numeric: tabular-nums lining-nums; }
.from:empty { display: none; }
svg.bar { width: 6.6rem; height: .8rem; flex: none; overflow: visible; }
svg.bar .all { fill: none; stroke: var(--ink); stroke-width: 1; } svg.bar .used { fill: var(--soft); }
svg.bar .end { stroke: var(--ink); stroke-width: 2; }
figure.chart { margin: .8rem 0 1rem; max-width: 36rem; break-inside: avoid; }
figure.chart svg { display: block; width: 100%; height: auto; }
figcaption { font-size: .9rem; } .key { margin: .2rem 0; font-size: .86rem; color: var(--soft); }
.sign td, .sign th { height: 3rem; vertical-align: bottom; border-bottom: 1px solid var(--ink); }
.sign { table-layout: fixed; } .sign thead :first-child { width: 21%; } .sign thead :last-child { width: 15%; }
.sign td, .sign thead th { border-left: 1px solid var(--faint); padding-left: .5rem; } .sign thead td { border-left: 0; }
.sign thead th, .sign thead td { height: auto; }
.hash { font: .72rem/1.35 'DejaVu Sans Mono', Menlo, Consolas, 'Liberation Mono', monospace; overflow-wrap: anywhere; }
nav ul { list-style: none; padding: 0; display: flex; flex-wrap: wrap; gap: .15rem 1rem; font-size: .92rem; }
footer { margin-top: 2.5rem; padding-top: .6rem; border-top: 1px solid var(--line); color: var(--soft); font-size: .9rem; }
@media (max-width: 34rem) {
  body { padding: 1rem .8rem 2rem; } h1 { font-size: 1.45rem; } h2 { font-size: 1.2rem; }
  .eq { grid-template-columns: minmax(0, 1fr); gap: .1rem; } .eq > :nth-child(odd) { text-align: left; }
  .eq > :nth-child(even) { padding-left: .6rem; }
  th, td { padding-right: .5rem; } .eq math { font-size: 1em; } svg.bar { width: 4.6rem; }
  .facts { grid-template-columns: 1fr; } .facts dd { margin-bottom: .25rem; } }
@page { margin: 16mm 15mm 18mm; }
@media print {
  :root { color-scheme: light; --ink: #000; --soft: #000; --line: #777; --faint: #bbb; --paper: #fff; --shade: #fff;
    --bad: #000; --wait: #000; --good: #000; }
  html { font-size: 9.5pt; } .calc { margin: .6rem 0 .75rem; } .eq { margin: .2rem 0; gap: .22rem .45rem; } p { margin: .25rem 0; }
  .formula { line-height: 1.5; } h2 { margin-top: 1.6rem; } th, td { padding-top: .18rem; padding-bottom: .18rem; }
  body { max-width: none; padding: 0; line-height: 1.38; }
  nav { display: none; } a { text-decoration: none; } .scroll, .eq { overflow: visible; }
  h2, h3, h4 { break-after: avoid; } tr, .steps > li, .verdict, .keep { break-inside: avoid; }
  thead { display: table-header-group; break-after: avoid; } tbody tr:first-child, tbody tr:nth-child(2) { break-before: avoid; } p, li { orphans: 3; widows: 3; }
  svg.bar .used { fill: #555; } figure.chart { max-width: 120mm; }
  .rows { font-size: 8pt; } .rows thead th { font-size: 7.5pt; } }
";
