import type { Count, Lamp, LightCase, Line } from "../card/content.js";
import { html, type Markup, NOTHING } from "./markup.js";

/** A block of drawn lamps: what must be lit, the count of each colour, the cases side by side. */
export function lightsMarkup(line: Extract<Line, { kind: "lights" }>): Markup {
  const alone = line.cases.length === 1;
  const cases = line.cases.map((one) => caseMarkup(one, alone));
  return html`<div class="lights"><p><strong>${line.title}</strong>, lit:</p><div class="${alone ? "" : "cases"}">${cases}</div>${line.rest ? html`<p>${line.rest}</p>` : NOTHING}</div>`;
}

function caseMarkup(one: LightCase, alone: boolean): Markup {
  const head =
    alone && one.when === undefined
      ? NOTHING
      : html`<p><strong>${one.when === undefined ? "Always" : `When ${one.when}`}</strong></p>`;
  const counts = one.counts.length > 0 ? html`<p class="count">Count: ${one.counts.map(countMarkup)}</p>` : NOTHING;
  return html`<div class="case${alone ? " alone" : ""}">${head}<ul>${one.lamps.map(lampMarkup)}</ul>${counts}</div>`;
}

function lampMarkup(lamp: Lamp): Markup {
  const only = lamp.only ? html` <span class="only">(${lamp.only})</span>` : NOTHING;
  return html`<li>${drawnLamp(lamp)} <span>${lamp.label}${only}</span> <input class="tick" type="checkbox" aria-label="${lamp.label}: seen"></li>`;
}

/** The letter is read by a screen reader as the colour's name. */
function drawnLamp(lamp: Lamp): Markup {
  if (lamp.sound) return html`<span class="lamp sound" role="img" aria-label="sound">~</span>`;
  const colour = lamp.colour ?? "white";
  return html`<span class="lamp ${colour}" role="img" aria-label="${colour}">${letterOf(lamp)}</span>`;
}

function letterOf(lamp: Lamp): string {
  return lamp.colour?.charAt(0).toUpperCase() ?? "?";
}

function countMarkup(count: Count): Markup {
  return html`<span class="lamp ${count.colour}" role="img" aria-label="${count.colour}">${count.colour.charAt(0).toUpperCase()}</span> ${count.number} `;
}
