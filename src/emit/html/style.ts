/** Colours of the lamps and their letters; each pair has a contrast of at least 4.5 (WCAG 2, see the tests). */
export const LAMP_COLOURS = {
  red: { fill: "#c00000", letter: "#ffffff" },
  amber: { fill: "#ffbf00", letter: "#000000" },
  green: { fill: "#007a2f", letter: "#ffffff" },
  blue: { fill: "#0046c8", letter: "#ffffff" },
  white: { fill: "#ffffff", letter: "#000000" },
  cyan: { fill: "#7fe3f0", letter: "#000000" },
} as const;

const lamps = Object.entries(LAMP_COLOURS)
  .map(([name, { fill, letter }]) => `.lamp.${name}{background:${fill};color:${letter}}`)
  .join("\n");

/** The style sheet of a card. Themes: day, night (dim, for screens), mono; print is always black on white. */
export const CARD_STYLE = `
:root{--ink:#000;--paper:#fff;--quiet:#444;--rule:#000;--dot:#666;--alert:#fff}
*{box-sizing:border-box}
html{font:16px/1.3 "B612","Source Sans 3",Verdana,sans-serif}
body{margin:0;color:var(--ink);background:var(--paper);min-height:100vh}
body:has(#theme-night:checked){color-scheme:dark;--ink:#ffb870;--paper:#120c06;--quiet:#d39a5f;--rule:#b07a45;--dot:#8a6238;--alert:#1d130a}
main{max-width:46rem;margin:0 auto;padding:1rem}
.themes{border:0;margin:0;padding:.5rem 1rem;display:flex;gap:1rem;justify-content:flex-end;color:var(--quiet);font-size:.875rem}
.themes legend{float:left;padding:0;margin-right:1rem}
:focus-visible{outline:3px solid var(--ink);outline-offset:2px}
a{color:inherit}
h1{font-size:1.4rem;line-height:1.2;margin:0}
h2{font-size:1.15rem;margin:1.4rem 0 .4rem;padding:0;border-bottom:2px solid var(--rule);display:flex;gap:.6rem;align-items:center;break-after:avoid}
h2 .letter{background:var(--ink);color:var(--paper);padding:.2rem .6rem}
h2 .by{margin-left:auto}
h3{font-size:1rem;margin:.8rem 0 .2rem;break-after:avoid}
header .line{display:flex;justify-content:space-between;gap:1rem;color:var(--quiet)}
header .id{font-weight:700;color:var(--ink)}
header{border-bottom:2px solid var(--rule);padding-bottom:.5rem}
dl.facts{margin:.6rem 0;display:grid;grid-template-columns:max-content 1fr;gap:.1rem .75rem}
dl.facts dt{color:var(--quiet)}dl.facts dd{margin:0}
ol,ul{list-style:none;margin:0;padding:0}
.step{display:grid;grid-template-columns:1.6rem minmax(0,1fr);margin:.3rem 0 .3rem -.6rem;break-inside:avoid}
.w1>.step{grid-template-columns:2.70rem minmax(0,1fr)}
.w2>.step{grid-template-columns:3.35rem minmax(0,1fr)}
.w3>.step{grid-template-columns:4.00rem minmax(0,1fr)}
.w4>.step{grid-template-columns:4.65rem minmax(0,1fr)}
.w5>.step{grid-template-columns:5.30rem minmax(0,1fr)}
.w6>.step{grid-template-columns:5.95rem minmax(0,1fr)}
.w7>.step{grid-template-columns:6.60rem minmax(0,1fr)}
.w8>.step{grid-template-columns:7.25rem minmax(0,1fr)}
.step.long{break-inside:auto}
.step>.number{border-left:.25rem solid transparent;font-variant-numeric:tabular-nums;text-align:right;padding-right:.6rem;white-space:nowrap}
sup{line-height:0}
.step>.hung{grid-column:2}
.step>.changed{border-left-color:var(--ink)}
.gone{display:inline-block;width:.6rem;border-top:.25rem solid var(--ink);vertical-align:super}
.killer{font-weight:700;font-size:.8em}
.mark{border:1.5px solid var(--ink);border-radius:.2rem;padding:0 .25rem;font-size:.8em;font-weight:700;margin-right:.3rem}
.only,.note{color:var(--quiet)}
.pair{display:grid;grid-template-columns:minmax(min-content,max-content) minmax(1rem,1fr) minmax(min-content,max-content) auto;align-items:end;column-gap:.4rem}
.pair .challenge{text-wrap:balance}
.pair .dots{height:.3em;margin-bottom:.32em;background:radial-gradient(circle,var(--dot) .07em,transparent .09em) right bottom/.5em .3em repeat-x}
.pair .response{font-weight:700;text-align:right}
.pair .lead{font-weight:400}
.tick{margin:0 0 .2em;width:1em;height:1em;flex:none;accent-color:var(--ink)}
.alert{margin:.6rem 0;padding:.4rem .6rem;display:grid;grid-template-columns:2rem minmax(0,1fr);background:var(--alert);break-inside:avoid;break-after:avoid}
.alert .word{font-weight:700;display:block;letter-spacing:.04em}
.alert.warning{border:4px double var(--rule);border-width:6px;font-weight:700}
.alert.caution{border:2px solid var(--rule)}
.alert svg{width:1.4rem;height:1.4rem;margin-top:.1rem}
.note{margin:.2rem 0;break-after:avoid}
.group{border-left:3px solid var(--rule);margin:.4rem 0 .4rem .2rem;padding-left:.6rem}
.group.held{border-left-style:double;border-left-width:6px}
.group.meanwhile,.group.loop{border-left-style:dashed}
.group.part,.group.panel{border-left:0;padding-left:0;margin-left:0}
.step>.number+.hung>ol>.group:first-child{margin-top:0}
.lead-line{margin:.2rem 0;break-after:avoid}
.lanes{display:grid;grid-template-columns:repeat(auto-fit,minmax(17rem,1fr));gap:.5rem}
.memory{border:3px solid var(--rule);padding:.3rem .6rem;margin:.8rem 0}
.memory>h3{margin:.1rem 0}
.lights{border:1px solid var(--rule);padding:.4rem .6rem;margin:.2rem 0;break-inside:avoid}
.lights p{margin:.1rem 0}
.lamps{columns:2 13rem;column-gap:1.5rem}
.lamps li{display:flex;align-items:center;gap:.5rem;padding:.1rem 0;break-inside:avoid}
.lamps .tick{margin-left:auto}
.cases{border-collapse:collapse;width:100%}
.cases th,.cases td{border-top:1px solid var(--rule);padding:.15rem .4rem;text-align:center;vertical-align:bottom}
.cases th:first-child{text-align:left;font-weight:400}
.cases thead th{border-top:0;font-weight:700}
.out{display:inline-block;width:.9rem;height:0;border-top:2px solid var(--quiet);margin-bottom:.6rem}
.named{display:inline-flex;align-items:center;gap:.4rem;margin-right:1rem}
.counted{white-space:nowrap;margin-right:.6rem}
.lamp{flex:none;display:inline-block;width:1.35rem;height:1.35rem;border-radius:50%;border:1.5px solid #000;font-size:.8rem;line-height:1.15rem;text-align:center;font-weight:700}
body:has(#theme-night:checked) .lamp{filter:brightness(.75)}
.lamp.sound{border:0;background:none;color:inherit;filter:none!important}
.lamp.sound svg{width:1.35rem;height:1.35rem}
${lamps}
body:has(#theme-mono:checked) .lamp{background:#fff;color:#000;filter:none}
.blank{display:inline-block;min-width:6rem;border:0;border-bottom:1.5px solid var(--ink);background:transparent;color:inherit;font:inherit}
.blank.time{min-width:4rem;width:5rem}
.pause{border-top:3px dashed var(--rule);border-bottom:3px dashed var(--rule);padding:.2rem 0;margin:.2rem 0}
.standing{border:1.5px dashed var(--rule);padding:.2rem .5rem}
.end strong{letter-spacing:.02em}
.end.bad{border:2px solid var(--rule);padding:.15rem .5rem;display:inline-block}
.force{border:3px solid var(--rule);padding:.4rem .6rem;margin:1rem 0}
.force ul{padding-left:1rem;list-style:square}
.close{text-align:center;font-weight:700;margin:1.2rem 0 .6rem}
.small{font-size:.875rem;color:var(--quiet)}
.small li{display:flex;gap:.6rem}.small .k{min-width:3.2rem;font-weight:700;color:var(--ink)}
footer{border-top:1px solid var(--rule);margin-top:1rem;padding-top:.4rem}
.draft{position:fixed;inset:0;display:grid;place-items:center;pointer-events:none;z-index:9}
.draft span{font-size:min(22vw,11rem);font-weight:700;transform:rotate(-35deg);color:var(--ink);opacity:.13}
.draft-line{text-align:center;font-weight:700;letter-spacing:.4em;margin:.3rem 0}
.skip{position:absolute;left:-99rem}.skip:focus{left:1rem;top:.5rem;background:var(--paper)}
@media (max-width:30rem){
main{padding:.6rem}
dl.facts{display:block}dl.facts dd{margin:0 0 .3rem}
header .line{flex-wrap:wrap}
.group{padding-left:.35rem;margin-left:0}
.lights{padding:.3rem .4rem}
}
@media print{
@page{margin:12mm 10mm 14mm 15mm;@bottom-right{content:"page " counter(page) " of " counter(pages);font:9pt "B612",sans-serif}}
html{font-size:12pt}
body,body:has(#theme-night:checked){color-scheme:light;--ink:#000;--paper:#fff;--quiet:#333;--rule:#000;--dot:#444;--alert:#fff;min-height:0}
.themes,.skip{display:none}
.lanes{display:block}
main{max-width:none;padding:0}
h2,.lamp{print-color-adjust:exact;-webkit-print-color-adjust:exact}
.pair .dots{print-color-adjust:exact;-webkit-print-color-adjust:exact}
.lamp{filter:none!important}
footer.small{font-size:10pt}
}
`;
