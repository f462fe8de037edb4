import type { Procedure } from "../../program/procedure.js";
import type { Program } from "../../program/program.js";
import type { Lamp } from "../card/content.js";
import { revisionOf } from "../flowchart/frame.js";
import { html, type Markup, NOTHING } from "../html/markup.js";
import { htmlPage } from "../html/page.js";
import { LAMPS } from "../layout/lamp.js";
import { type LightState, type LightTable, lightTable } from "./lights.js";

/** The light table as one HTML file that needs nothing else; undefined where the procedure looks at no lights. */
export function lightTableHtml(
  program: Program,
  procedure: Procedure,
  options: { readonly cautions: readonly string[]; readonly fontStyle?: string },
): string | undefined {
  const table = lightTable(program, procedure);
  if (table.rows.length === 0) return undefined;
  return htmlPage({
    language: "en",
    title: `${procedure.title}, light table (${procedure.id})`,
    style: `${options.fontStyle ?? ""}${STYLE}`,
    body: html`<main>
<h1>${procedure.title}</h1>
<p>Light table · ${revisionOf(procedure)}</p>
${tableMarkup(table)}
<p>A lamp: lit. A stroke: out. Empty: not looked at. Numbers are those of the lines.</p>
${options.cautions.map((text) => html`<p class="quiet">${text}</p>`)}
</main>`,
  });
}

function tableMarkup(table: LightTable): Markup {
  const heads = table.columns.map(
    (column) => html`<th scope="col"><b>${column.number}</b> ${column.title} <i>${column.case}</i></th>`,
  );
  const rows = table.rows.map((lamp, row) => {
    const cells = table.columns.map((column) => html`<td>${cell(lamp, column.states[row] ?? "unseen")}</td>`);
    return html`<tr><th scope="row">${nameOf(lamp)}</th>${cells}</tr>
`;
  });
  const counts = table.columns.map((column) => {
    const words = column.counts.map(({ colour, number }) => `${number} ${colour}`).join(", ");
    return html`<td>${words || "none"}</td>`;
  });
  return html`<table><thead><tr><th scope="col">Light</th>${heads}</tr></thead>
<tbody>${rows}</tbody>
<tfoot><tr><th scope="row">Lit in all</th>${counts}</tr></tfoot></table>`;
}

function cell(lamp: Lamp, state: LightState): Markup {
  if (state === "unseen") return NOTHING;
  if (state === "out") return html`<span class="out" role="img" aria-label="out"></span>`;
  if (lamp.sound) return html`<span class="sound">sounds</span>`;
  const letter = lamp.colour?.charAt(0).toUpperCase() ?? "?";
  return html`<span class="lamp ${lamp.colour ?? "none"}" role="img" aria-label="lit, ${lamp.colour ?? "no colour"}">${letter}</span>`;
}

function nameOf(lamp: Lamp): string {
  return `${lamp.label}${lamp.only ? ` (${lamp.only})` : ""}`;
}

const COLOURS = Object.entries(LAMPS)
  .map(([name, { fill, letter }]) => `.${name}{background:${fill};color:${letter}}`)
  .join("");

const STYLE =
  "body{margin:0;font:1rem/1.3 B612,Verdana,sans-serif;color:#000;background:#fff}main{padding:1rem 1.5rem;overflow-x:auto}" +
  "h1{font-size:1.5rem;margin:0}table{border-collapse:collapse;margin:1rem 0}th,td{border:1px solid #777;padding:.25rem .5rem;text-align:left}" +
  "thead th{vertical-align:bottom;font-weight:400;max-width:12rem}tbody td{text-align:center}tfoot{font-weight:700}" +
  ".lamp{display:inline-block;width:1.4rem;height:1.4rem;border-radius:50%;border:1.5px solid #000;line-height:1.4rem;text-align:center;font-weight:700;font-size:.85rem}" +
  `.out{display:inline-block;width:.8rem;border-top:2px solid #000;vertical-align:middle}.quiet{color:#595959;margin:.2rem 0}${COLOURS}` +
  "@media print{@page{margin:12mm}.lamp{print-color-adjust:exact;-webkit-print-color-adjust:exact}}";
