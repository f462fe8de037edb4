import type { CardDocument, Key } from "../card/content.js";
import { dateLine, headFacts, readingWay, revisionLine } from "../card/head.js";
import { listMarkup, referenceLink } from "./blocks.js";
import { lampMarkup } from "./lights.js";
import { html, type Markup, NOTHING } from "./markup.js";
import { htmlPage } from "./page.js";
import { CARD_STYLE } from "./style.js";

export interface HtmlOptions {
  /** `@font-face` rules with the faces inside, from `fontStyle`; without them the reader's own faces are used. */
  readonly fontStyle?: string;
}

/** The card as one file that needs nothing else: for a screen by day or night, and for print on A4 and A5. */
export function htmlCard(document: CardDocument, options: HtmlOptions = {}): string {
  return htmlPage({
    language: document.language,
    title: `${document.title} (${document.id})`,
    style: `${options.fontStyle ?? ""}${CARD_STYLE}`,
    body: cardBody(document),
  });
}

function cardBody(document: CardDocument): Markup {
  return html`<a class="skip" href="#lines">To the first line</a>
${THEMES}
${document.draft ? html`<div class="draft" aria-hidden="true"><span>DRAFT</span></div>` : NOTHING}
<main>
${head(document)}
<div id="lines">
${listMarkup(document.blocks)}
</div>
${tail(document)}
</main>`;
}

const THEMES = html`<fieldset class="themes"><legend>Show for</legend>
<label><input type="radio" name="theme" id="theme-day" checked> day</label>
<label><input type="radio" name="theme" id="theme-night"> night</label>
<label><input type="radio" name="theme" id="theme-mono"> no colour</label>
</fieldset>`;

function head(document: CardDocument): Markup {
  const facts = headFacts(document).map(
    ({ word, text, lamps }) => html`<dt>${word}</dt><dd>${text} ${lamps.map(lampMarkup)}</dd>`,
  );
  return html`<header>
${document.draft ? html`<p class="draft-line">DRAFT</p>` : NOTHING}
<div class="line"><span>${document.system}</span><span class="id">${document.id}</span></div>
<h1>${document.title}</h1>
<div class="line"><span>${document.category}, ${readingWay(document)}</span><span>${[revisionLine(document), dateLine(document)].filter(Boolean).join(", ")}</span></div>
<p class="small">${document.cautions.join(" ")}</p>
</header>
<dl class="facts">${facts}</dl>`;
}

function tail(document: CardDocument): Markup {
  const { inForce, next, footnotes, keys } = document;
  return html`${inForce.length > 0 ? html`<section class="force"><h3>Still in force: never</h3><ul>${inForce.map((text) => html`<li>${text}</li>`)}</ul></section>` : NOTHING}
<p class="close">End of card${next ? html`. Next: ${referenceLink(next)}` : NOTHING}</p>
<footer class="small">
${footnotes.length > 0 ? html`<h3>Notes</h3><ul>${footnotes.map((note) => html`<li${note.mark ? html` id="note-${note.mark.slice(1)}"` : NOTHING}><span class="k">${note.mark}</span> <span>${note.text}</span></li>`)}</ul>` : NOTHING}
${keys.length > 0 ? html`<h3>Marks</h3><ul>${keys.map((key) => html`<li><span class="k">${KEY_MARKS[key.mark]}</span> <span>${key.text}</span></li>`)}</ul>` : NOTHING}
<p>${document.cautions.join(" ")}</p>
</footer>`;
}

const KEY_MARKS: Readonly<Record<Key["mark"], string>> = {
  bar: "\u2590",
  removed: "\u2594",
  killer: "\u25c6",
  footnote: "+1",
  verify: "verify",
  check: "check",
};
