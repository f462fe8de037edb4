import type { ProcedureCoverage, SlipRow, Telling } from "../../program/coverage.js";
import { countFaults, countSlips, failureStretches, lightRows, percent } from "../../program/coverage-count.js";
import { brokenWords, estimateWords, failureWords, Names } from "../../program/coverage-names.js";
import type { Program } from "../../program/program.js";
import { CAUTION } from "../card/document.js";
import { html, type Markup, NOTHING } from "../html/markup.js";
import { htmlPage } from "../html/page.js";
import { COVERAGE_STYLE } from "./style.js";

export interface CoveragePage {
  readonly program: Program;
  readonly procedures: readonly ProcedureCoverage[];
  readonly leftOut: readonly { readonly procedure: string; readonly because: string }[];
}

/** One self-contained page: for each procedure the light table, the faults, the slips with their stories, what is left over, the failures. */
export function coveragePage(page: CoveragePage): string {
  const { title } = page.program.project;
  return htmlPage({
    language: "en",
    title: `${title}: what the cards catch`,
    style: COVERAGE_STYLE,
    body: html`<main>
<h1>What the cards catch</h1>
<p class="project">${title}</p>
<p class="caution" role="note">${CAUTION}</p>
<p>Over the model as written. A row that is <em>unproved</em> ran out of its limit: nothing is known of it.</p>
${overview(page)}
${page.leftOut.map(({ procedure, because }) => html`<p class="left-out">Left out: <code>${procedure}</code>, ${because}.</p>`)}
${page.procedures.map((one) => procedureMarkup(page.program, one))}
<p class="caution">${CAUTION}</p>
</main>`,
  });
}

function overview({ program, procedures }: CoveragePage): Markup {
  const rows = procedures.map((one) => {
    const faults = countFaults(one.faults);
    const slips = one.slips && countSlips(one.slips);
    return html`<tr><th scope="row"><a href="#${anchor(one)}">${program.procedures.get(one.procedure)?.title ?? one.procedure}</a></th><td>${lightRows(one).length}</td><td>${faults.always} of ${faults.of} (${percent(faults.always, faults.of)})</td><td>${slips ? `${slips.silent} of ${one.slips?.rows.length ?? 0}` : "-"}</td><td>${unproved(one)}</td></tr>
`;
  });
  return tableMarkup(
    "Overview",
    ["Card", "Lights looked at", "Faults always revealed", "Silent slips", "Unproved rows"],
    rows,
  );
}

function unproved({ faults, slips, failures, lights }: ProcedureCoverage): number {
  return (
    lights.filter(({ lit, out }) => lit === "unproved" || out === "unproved").length +
    countFaults(faults).unproved +
    (slips ? countSlips(slips).unproved : 0) +
    (failures ?? []).filter(({ verdict }) => verdict === "unproved").length
  );
}

function anchor({ procedure }: ProcedureCoverage): string {
  return `card-${procedure.replace(/[^a-z0-9-]/g, "-")}`;
}

function procedureMarkup(program: Program, coverage: ProcedureCoverage): Markup {
  const procedure = program.procedures.get(coverage.procedure)!;
  const names = new Names(program.systems.get(procedure.system)!, procedure);
  return html`<section id="${anchor(coverage)}">
<h2>${procedure.title} <small>${procedure.id}</small></h2>
${lightTable(coverage, names)}
${faultTable(coverage, names)}
${slipTable(coverage, names)}
${leftOverTable(coverage, names)}
${failureTable(coverage, names)}
</section>
`;
}

function tableMarkup(caption: string, headings: readonly string[], rows: readonly Markup[]): Markup {
  if (rows.length === 0) return NOTHING;
  return html`<table><caption>${caption}</caption>
<thead><tr>${headings.map((one) => html`<th scope="col">${one}</th>`)}</tr></thead>
<tbody>${rows}</tbody></table>
`;
}

function row(cells: readonly (string | Markup)[], kind = ""): Markup {
  const [first = "", ...rest] = cells;
  return html`<tr class="${kind}"><th scope="row">${first}</th>${rest.map((one) => html`<td>${one}</td>`)}</tr>
`;
}

function lightTable(coverage: ProcedureCoverage, names: Names): Markup {
  const rows = lightRows(coverage).map(({ light, lit, out }) =>
    row(
      [
        names.thing(light),
        lit.map((look) => names.look(look, "lit")).join(", ") || "nowhere",
        out.map((look) => names.look(look, "out")).join(", ") || "nowhere",
      ],
      lit.length === 0 || out.length === 0 ? "open" : "",
    ),
  );
  return tableMarkup("Lights", ["Light", "Seen lit", "Seen out"], rows);
}

function faultTable({ faults }: ProcedureCoverage, names: Names): Markup {
  const count = countFaults(faults);
  const caption = `Stuck-at faults, one at a time: ${count.always} of ${count.of} revealed on every path (${percent(count.always, count.of)}), ${count.sometimes} on some, ${count.never} never; apart ${count.apart} that change no light in any state and ${count.noStart} that cannot be there when the card begins`;
  const rows = faults.rows.map((one) =>
    row(
      [names.fault(one.fault), names.revealed(one), names.step(one.first)],
      one.revealed === "never" || one.revealed === "sometimes" ? "open" : "",
    ),
  );
  return tableMarkup(caption, ["Fault", "Revealed", "First at"], rows);
}

function slipTable({ slips }: ProcedureCoverage, names: Names): Markup {
  if (!slips) return NOTHING;
  const count = countSlips(slips);
  const caption = `Slips, one in a run: ${count.silent} of ${slips.rows.length} are silent, ${count.caught} caught, ${count.harmless} harmless`;
  const rows = slips.rows.map((one) =>
    row(
      [
        html`${names.line(one.slip.step)}${one.verdict === "silent" && one.slip.kind === "left out" ? html` <span class="killer">never leave out</span>` : NOTHING}`,
        names.slip(one.slip),
        names.outcome(one),
      ],
      one.verdict === "silent" ? "open" : "",
    ),
  );
  return html`${tableMarkup(caption, ["Line", "Slip", "Outcome"], rows)}
${slips.estimate.silent > 0 ? html`<p class="estimate">${estimateWords(slips.estimate)}</p>` : NOTHING}
${slips.rows.flatMap((one) => storyOfSlip(one, names))}`;
}

function storyOfSlip({ slip, breaks }: SlipRow, names: Names): readonly Markup[] {
  if (!breaks || breaks.story.length === 0) return [];
  return [storyMarkup(`${names.line(slip.step)} ${names.slip(slip)}: ${brokenWords(breaks)}`, breaks.story)];
}

function storyMarkup(title: string, story: readonly Telling[]): Markup {
  return html`<table class="story"><caption>${title}</caption>
<tbody>${story.map(
    ({ when, what, effect, broken }) =>
      html`<tr class="${broken ? "broken" : ""}"><th scope="row">${when}</th><td>${what}</td><td>${effect ?? ""}${broken ? html` <strong>broken here</strong>` : NOTHING}</td></tr>
`,
  )}</tbody></table>
`;
}

function leftOverTable({ leftOver = [] }: ProcedureCoverage, names: Names): Markup {
  const rows = leftOver
    .filter(({ harms, readBy }) => harms.length + readBy.length > 0)
    .map(({ control, harms, readBy, checkBefore }) =>
      row(
        [
          names.thing(control),
          harms.map(({ code, about }) => `${code} ${about}`).join("; ") || "nothing: proved from every position",
          readBy.join(", "),
          checkBefore ? `before ${names.step(checkBefore)}` : "",
        ],
        harms.length > 0 ? "open" : "",
      ),
    );
  return tableMarkup(
    "Left-over positions: neither set nor looked at on some path",
    ["Control", "What it can do", "Read by", "Check it"],
    rows,
  );
}

function failureTable({ failures = [] }: ProcedureCoverage, names: Names): Markup {
  const rows = failureStretches(failures).map((stretch) =>
    row(failureWords(names, stretch), stretch.rows[0].verdict === "unanswered" ? "open" : ""),
  );
  return tableMarkup("Failures, one in a run", ["Failure", "When", "Outcome"], rows);
}
