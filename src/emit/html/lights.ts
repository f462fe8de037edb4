import type { Count, Lamp, LampRow, Line } from "../card/content.js";
import { html, type Markup, NOTHING, raw } from "./markup.js";

/** A loudspeaker, for what is heard. */
const SPEAKER = raw(
  '<svg viewBox="0 0 24 24" aria-hidden="true"><path d="M3 9h5l6-5v16l-6-5H3z" fill="currentColor"/><path d="M16.5 8.5q3 3.5 0 7M18.5 5.500q5.500 6.500 0 13" fill="none" stroke="currentColor" stroke-width="2"/></svg>',
);

type Lights = Extract<Line, { kind: "lights" }>;

/** `around` is who looks and for which ships. A block of drawn lamps: what must be lit and the count of each colour, or a table with the cases side by side. */
export function lightsMarkup(line: Lights, around: Markup): Markup {
  const inside = line.cases.length > 1 ? tableMarkup(line) : listMarkup(line);
  const rest = line.rest ? html`<p>${line.rest}</p>` : NOTHING;
  return html`<div class="lights"><p><strong>${line.title}</strong> lit: ${around}</p>${inside}${rest}</div>`;
}

/** A drawn lamp with its name. */
export function lampMarkup(lamp: Lamp): Markup {
  return html`<span class="named">${drawnLamp(lamp)} ${nameOf(lamp)}</span> `;
}

function listMarkup(line: Lights): Markup {
  const counts = line.cases[0]?.counts ?? [];
  const total = counts.length > 0 ? html`<p class="count">Count: ${counts.map(countMarkup)}</p>` : NOTHING;
  return html`<ul class="lamps">${line.lamps.map(({ lamp }) => lampItem(lamp))}</ul>${total}`;
}

function lampItem(lamp: Lamp): Markup {
  const box = html`<input class="tick" type="checkbox" aria-label="${lamp.label}: seen">`;
  return html`<li>${drawnLamp(lamp)} <span>${nameOf(lamp)}</span> ${box}</li>`;
}

function tableMarkup(line: Lights): Markup {
  const heads = line.cases.map((one) => html`<th scope="col">${one.heading}</th>`);
  const counts = line.cases.map((one) => html`<td>${one.counts.map(countMarkup)}</td>`);
  return html`<table class="cases"><thead><tr><th scope="col">Light</th>${heads}</tr></thead>
<tbody>${line.lamps.map(rowMarkup)}</tbody>
<tfoot><tr><th scope="row">Count</th>${counts}</tr></tfoot></table>`;
}

function rowMarkup(row: LampRow): Markup {
  const cells = row.lit.map(
    (lit) => html`<td>${lit ? drawnLamp(row.lamp) : html`<span class="out" role="img" aria-label="out"></span>`}</td>`,
  );
  return html`<tr><th scope="row">${nameOf(row.lamp)}</th>${cells}</tr>
`;
}

function nameOf(lamp: Lamp): Markup {
  const only = lamp.only ? html` <span class="only">(${lamp.only})</span>` : NOTHING;
  return html`${lamp.label}${lamp.sound ? " sounds" : ""}${only}`;
}

/** The letter is read by a screen reader as the colour's name. */
function drawnLamp(lamp: Lamp): Markup {
  if (lamp.sound) return html`<span class="lamp sound" role="img" aria-label="sound">${SPEAKER}</span>`;
  const colour = lamp.colour ?? "white";
  return html`<span class="lamp ${colour}" role="img" aria-label="${colour}">${lamp.colour?.charAt(0).toUpperCase() ?? "?"}</span>`;
}

function countMarkup(count: Count): Markup {
  const letter = count.colour.charAt(0).toUpperCase();
  return html`<span class="counted"><span class="lamp ${count.colour}" role="img" aria-label="${count.colour}">${letter}</span> ${count.number}</span> `;
}
