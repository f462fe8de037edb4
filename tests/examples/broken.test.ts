import { join } from "node:path";
import { expect, test } from "vitest";
import { check } from "../../src/pipeline.js";
import { nodeHost } from "../../src/workspace/node-host.js";
import { openWorkspace } from "../../src/workspace/project.js";

/**
 * Each line that the examples rest on, taken out or changed, and what must then be found. Facts of the trade that these
 * stand for (common practice, no published source): guards and switches are seen safe before power; five red lights and
 * five amber on battery and a sixth red with AC; a minute of running before bleed air; a crossfeed closed again.
 */
const BREAKS: readonly (readonly [
  what: string,
  example: string,
  procedure: string,
  edit: readonly [from: string, to: string],
  finds: string,
])[] = [
  [
    "pump switches are not looked at before power",
    "merrow-m46",
    "cold-power-up",
    ["electric-pump: off, standby", "standby"],
    "order/when electric-pumps-off-before-power",
  ],
  [
    "a guard is not looked at before power",
    "merrow-m46",
    "cold-power-up",
    [", standby-pump.guard: closed", ""],
    "order/when standby-pump-covered-before-power",
  ],
  [
    "a sixth red light is expected on battery",
    "merrow-m46",
    "fire-detection-test",
    ["count: { red: 5, amber: 5 }", "count: { red: 6, amber: 5 }"],
    "observe/count",
  ],
  [
    "the bay lamp is expected on battery",
    "merrow-m46",
    "fire-detection-test",
    ["lit: [fire-light, aux-fire-light, fuel", "lit: [fire-light, aux-fire-light, bay-fire, fuel"],
    "observe/missing",
  ],
  [
    "the bay lamp is forgotten with AC",
    "merrow-m46",
    "fire-detection-test",
    ["lit: [fire-light, aux-fire-light, bay-fire, fuel", "lit: [fire-light, aux-fire-light, fuel"],
    "observe/surplus",
  ],
  [
    "the unit is started though its fire lamp failed",
    "merrow-m46",
    "cold-power-up",
    ["if: not done fire-detection-test:no-aux-start", "if: aux-unit is stopped"],
    "prohibit/broken",
  ],
  [
    "bleed air after 59 s",
    "merrow-m46",
    "cold-power-up",
    ["wait-for: (aux-unit is ready) for 60 s", "wait-for: (aux-unit is ready) for 59 s"],
    "order/when minute-before-aux-air",
  ],
  [
    "a bleed switch left on by the last crew",
    "merrow-m46",
    "cold-power-up",
    [", aux-bleed: off]", "]"],
    "order/when minute-before-aux-air",
  ],
  [
    "the centre pump is taken at exactly 1000 lb",
    "merrow-m46",
    "cold-power-up",
    ["if: centre-fuel > 1000 lb", "if: centre-fuel >= 1000 lb"],
    "order/never no-dry-centre-pump",
  ],
  [
    "1000 lb and a hair above, in kilograms",
    "merrow-m46",
    "cold-power-up",
    ["if: centre-fuel > 1000 lb", "if: centre-fuel > 453.59236 kg"],
    "order/never no-dry-centre-pump",
  ],
  [
    "the crossfeed stays open",
    "merrow-m46",
    "preflight-flow",
    ["          - set: { crossfeed: closed }\n", ""],
    "order/after crossfeed-closed-again",
  ],
  [
    "fuel before the engine has spun up",
    "merrow-m46",
    "engine-start",
    ["wait-for: engine.side is spun", "wait-for: engine.side is turning/spun"],
    "order/never air-through-before-fuel.left",
  ],
  [
    "a loader under the propeller",
    "merrow-m46",
    "engine-start",
    ["ask: { propeller-area: clear }", "ask: { hatch: closed }"],
    "order/when area-clear-before-start",
  ],
  [
    "the diesels are matched to 0.3 Hz where the rule says 0.2 Hz",
    "brannock",
    "second-diesel",
    ["until: frequency.aft is within 0.2 Hz", "until: frequency.aft is within 0.3 Hz"],
    "order/before matched-before-parallel",
  ],
  [
    "the steering is fed a line after the radio",
    "anser",
    "load-essentials",
    ["press: { steering-button: pressed }", "press: { radio-button: pressed }"],
    "order/before steering-first",
  ],
  [
    "the lamp house is not cooled long enough",
    "hollin-dome",
    "close-the-show",
    ["wait: 5 min", "wait: 4 min"],
    "order/while cooled-while-hot",
  ],
];

test.each(BREAKS)("%s (%s, %s)", (_, example, procedure, [from, to], finds) => {
  const path = `procedures/${procedure}.yaml`;
  const { files } = openWorkspace(nodeHost, join(import.meta.dirname, "../../examples"), [example]);
  const text = files.find((file) => file.path === path)!.text;
  expect(text.split(from), "the line is there once").toHaveLength(2);
  const changed = files.map((file) => (file.path === path ? { path, text: text.replace(from, to) } : file));
  const { report } = check(changed, { focus: new Set([path]) });
  const found = report.findings.flatMap(({ code, subject }) => [code, `${code} ${subject.rule}`]);
  expect(found).toContain(finds);
});

/** One pound is 0.45359237 kg exactly (NIST SP 811, appendix B). */
test("1000 lb in kilograms is the same limit", () => {
  const path = "procedures/cold-power-up.yaml";
  const { files } = openWorkspace(nodeHost, join(import.meta.dirname, "../../examples"), ["merrow-m46"]);
  const changed = files.map((file) =>
    file.path === path ? { path, text: file.text.replace("1000 lb", "453.59237 kg") } : file,
  );
  expect(check(changed, { focus: new Set([path]) }).report.findings).toEqual([]);
});
