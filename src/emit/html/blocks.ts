import { unreachable } from "../../invariant.js";
import type { Alert, Block, Group, Line, Memory, Reference, Section, StepBlock, Tags } from "../card/content.js";
import { lightsMarkup } from "./lights.js";
import { html, type Markup, NOTHING, raw } from "./markup.js";

/** One block as an item of a list. */
export function blockMarkup(block: Block): Markup {
  switch (block.kind) {
    case "section":
      return sectionMarkup(block);
    case "memory":
      return memoryMarkup(block);
    case "group":
      return groupMarkup(block);
    case "step":
      return stepMarkup(block);
    default:
      return unreachable(block);
  }
}

/** A list of blocks; its class leaves room for the longest number in it. */
export function listMarkup(blocks: readonly Block[], more = ""): Markup {
  const longest = Math.max(0, ...blocks.map((block) => (block.kind === "step" ? block.number.length : 0)));
  const classes = [longest > 0 ? `w${Math.min(8, Math.max(2, longest))}` : "", more].filter(Boolean).join(" ");
  return html`<ol${classes ? html` class="${classes}"` : NOTHING}>${blocks.map(blockMarkup)}</ol>`;
}

/** A link to another card's file, which lies beside this one. */
export function referenceLink(to: Reference): Markup {
  return html`<a href="${fileOf(to.procedure)}">${to.title}</a> (${to.procedure})`;
}

/** The file name of a card: an id with anything but letters, digits and dashes taken out, so that no id can lead elsewhere. */
export function fileOf(procedure: string): string {
  return `${procedure.replace(/[^A-Za-z0-9_-]/g, "-")}.html`;
}

function sectionMarkup(section: Section): Markup {
  const by = section.by.map((mark) => html`<span class="mark by">${mark}</span>`);
  const letter = section.letter ? html`<span class="letter">${section.letter}</span> ` : NOTHING;
  return html`<li>${section.alerts.map(alertMarkup)}<h2>${letter}<span>${section.title}</span>${by}</h2>
${listMarkup(section.blocks)}</li>
`;
}

function memoryMarkup(memory: Memory): Markup {
  return html`<li class="memory"><h3>From memory</h3>${memory.alerts.map(alertMarkup)}${listMarkup(memory.blocks)}</li>
`;
}

function groupMarkup(group: Group): Markup {
  const boxes = Array.from({ length: Math.min(group.boxes, 12) }, (_, index) => tick(`${group.text} ${index + 1}`));
  return html`<li class="group ${group.style}"><p class="lead-line">${boxes} ${group.tags ? tagMarks(group.tags) : NOTHING}<strong>${group.word}</strong> ${group.text}${footnoteLink(group.tags?.footnote)}</p>
${listMarkup(group.blocks)}</li>
`;
}

function stepMarkup(step: StepBlock): Markup {
  const lanes = step.after.some((block) => block.kind === "group" && block.style === "lane");
  const alerts = step.alerts.length > 0 ? html`<li>${step.alerts.map(alertMarkup)}</li>` : NOTHING;
  const own =
    step.lines.length > 0
      ? html`<div>${step.lines.map((line, index) => lineMarkup(line, step, index))}</div>`
      : NOTHING;
  const after =
    step.after.length > 0 ? html`<div class="hung">${listMarkup(step.after, lanes ? "lanes" : "")}</div>` : NOTHING;
  const number = html`<span class="number${step.marks.changed ? " changed" : ""}">${marksBefore(step)}</span>`;
  return html`${alerts}<li class="step${step.after.length > 0 ? " long" : ""}">${number}${own}${after}</li>
`;
}

function marksBefore(step: StepBlock): Markup {
  const gone = step.marks.removedBefore
    ? html`<span class="gone" role="img" aria-label="a line was taken out here"></span>`
    : NOTHING;
  const killer = step.marks.killer
    ? html`<span class="killer" role="img" aria-label="never leave this line out">&#9670;</span> `
    : NOTHING;
  return html`${gone}${killer}${step.number}`;
}

function lineMarkup(line: Line, step: StepBlock, index: number): Markup {
  const tags = index === 0 ? tagMarks(step) : NOTHING;
  const note = index === 0 ? footnoteLink(step.marks.footnote) : NOTHING;
  switch (line.kind) {
    case "pair": {
      const lead = line.lead ? html`<span class="lead">${line.lead}</span> ` : NOTHING;
      return pairMarkup(
        html`${tags}${line.joined ? "and " : ""}${breakable(line.challenge)}${note}`,
        html`${lead}${breakable(line.response)}`,
        tick(`${line.challenge} ${line.response}`),
      );
    }
    case "plain":
      return html`<div class="pair"><span class="challenge">${tags}${breakable(line.text)}${note}</span><span></span><span></span>${tick(line.text)}</div>`;
    case "speech":
      return html`<div>${line.who ? html`<span class="mark">${line.who}</span>` : tags} says: <q>${line.text}</q>${note}</div>`;
    case "timer":
      return html`<div>Began ${blank("Began", "time")} ${line.end} (+${line.span}) ${blank(line.end, "time")}</div>`;
    case "blank":
      return pairMarkup(
        html`${tags}${line.challenge}${note}`,
        html`${blank(line.challenge, "value")} ${line.unit}`,
        NOTHING,
      );
    case "lights":
      return lightsMarkup(line, html`${tags}${note}`);
    case "jump":
      return html`<div>${tags}<strong>${line.word}</strong> ${referenceLink(line.to)}${note}</div>`;
    case "end":
      return html`<div>${tags}<span class="end ${line.good ? "good" : "bad"}"><strong>${line.word}${line.text ? ":" : ""}</strong> ${line.text}</span>${note}</div>`;
    case "pause":
      return html`<div class="pause"><strong>PAUSE</strong> ${tags}${line.text}${note}</div>`;
    case "standing":
      return html`<div class="standing">${tags}<strong>${line.word}:</strong> ${line.text}${note}</div>`;
    default:
      return unreachable(line);
  }
}

function pairMarkup(challenge: Markup, response: Markup, box: Markup): Markup {
  return html`<div class="pair"><span class="challenge">${challenge}</span> <span class="dots" aria-hidden="true"></span> <span class="response">${response}</span>${box}</div>`;
}

const LONG_WORD = 24;
const graphemes = new Intl.Segmenter("en", { granularity: "grapheme" });

/** The text with places to break inside words that no column is wide enough for. */
function breakable(text: string): Markup {
  const parts = text.split(" ").map((word) => {
    if (word.length <= LONG_WORD) return html`${word}`;
    const letters = [...graphemes.segment(word)];
    return html`${letters.map(({ segment }, index) => (index > 0 && index % 12 === 0 ? html`<wbr>${segment}` : html`${segment}`))}`;
  });
  return html`${parts.map((part, index) => (index === 0 ? part : html` ${part}`))}`;
}

function tagMarks({ by, only }: Pick<Tags, "by" | "only">): Markup {
  const ships = only ? html`<span class="only">(${only})</span> ` : NOTHING;
  return html`${by.map((mark) => html`<span class="mark">${mark}</span>`)}${ships}`;
}

function footnoteLink(mark: string | undefined): Markup {
  return mark ? html` <sup><a href="#note-${mark.slice(1)}">${mark}</a></sup>` : NOTHING;
}

function alertMarkup(alert: Alert): Markup {
  if (alert.kind === "note") return html`<p class="note">Note: ${alert.text}</p>`;
  const word = alert.kind === "warning" ? "WARNING" : "CAUTION";
  return html`<div class="alert ${alert.kind}">${alert.kind === "warning" ? WARNING_SIGN : CAUTION_SIGN}<div><span class="word">${word}</span> ${alert.text}</div></div>`;
}

/** A filled triangle for a warning, an empty one for a caution. */
const WARNING_SIGN = raw(
  '<svg viewBox="0 0 24 24" aria-hidden="true"><path d="M12 1 23.5 22H.5z" fill="currentColor"/><path d="M11 8h2v8h-2zM11 17.5h2v2h-2z" fill="#fff"/></svg>',
);
const CAUTION_SIGN = raw(
  '<svg viewBox="0 0 24 24" aria-hidden="true"><path d="M12 2.5 22.2 21H1.8z" fill="none" stroke="currentColor" stroke-width="2"/><path d="M11 9h2v6h-2zM11 16.5h2v2h-2z" fill="currentColor"/></svg>',
);

function tick(label: string): Markup {
  return html`<input class="tick" type="checkbox" aria-label="${label}: done">`;
}

function blank(label: string, kind: "time" | "value"): Markup {
  return html`<input class="blank ${kind}" type="text" aria-label="${label}">`;
}
