import { type Finding, finding } from "../../diagnostics/finding.js";
import { and, equals, evaluate, not, TRUE } from "../../machine/expression.js";
import type { Probe } from "../../machine/graph/graph.js";
import { choose } from "../../machine/operation.js";
import type { Search } from "../../machine/symbolic/search.js";
import type { Monitor } from "../../machine/transitions.js";
import { inputsOf } from "../../machine/world/memory.js";
import { askOfActs } from "../answer.js";
import type { Context } from "../context.js";
import { PROHIBIT_ALREADY, PROHIBIT_BROKEN, UNPROVED } from "../kinds.js";
import { blameOf, isByGauge } from "../path.js";
import { storyOf } from "../story.js";
import { quote, stepName } from "../words.js";

type Prohibition = Extract<Probe, { readonly kind: "prohibit" }>;

/** What a step forbids must not come about from the next moment on. */
export function proveProhibitions(context: Context, search: Search): readonly Finding[] {
  return context.model.graph.probes.flatMap((probe) =>
    probe.kind === "prohibit" ? [...broken(context, probe), ...already(context, search, probe)] : [],
  );
}

/** Breaks where the condition becomes true while the prohibition is in force. */
export function prohibitionMonitor(context: Context, probe: Prohibition): Monitor {
  const { world } = context.model;
  const name = probe.active.name;
  const inForce = world.variable(`before force ${name}`, 2, { kind: "before" });
  const was = world.variable(`before ${name}`, 2, { kind: "before" });
  return {
    name,
    variables: [probe.active],
    inputs: inputsOf(probe.truth, probe.until, equals(probe.active, 0)),
    before: [
      { kind: "remember", variable: inForce, truth: equals(probe.active, 1) },
      { kind: "remember", variable: was, truth: probe.truth },
    ],
    after: [choose({ when: probe.until, assign: [{ variable: probe.active, value: 0 }] })],
    scratch: [inForce, was],
    start: [],
    broken: and(equals(inForce, 1), probe.truth, equals(was, 0), not(probe.until)),
  };
}

function broken(context: Context, probe: Prohibition): readonly Finding[] {
  const monitor = prohibitionMonitor(context, probe);
  const answer = askOfActs(context, { monitors: [monitor], atPlace: new Map(), names: [monitor.broken] });
  if (answer.verdict === "holds" || !probe.step) return [];
  const text = quote(probe.condition);
  const subject = { procedure: context.procedure.id, rule: probe.step.name };
  if (answer.verdict === "unproved")
    return [finding(UNPROVED, probe.step.verb, `unproved: that ${text} does not come about after this`, { subject })];
  const { search, path, relevant } = answer;
  const story = storyOf(search, path, { isWrong: (state) => evaluate(monitor.broken, state), relevant });
  const blamed = blameOf(path);
  const doer = blamed ? `${stepName(blamed)} can do` : "of itself there can come about";
  if (!story)
    return [finding(UNPROVED, probe.step.verb, `unproved: that ${text} does not come about after this`, { subject })];
  const kind = isByGauge(path) ? { ...PROHIBIT_BROKEN, severity: "info" as const } : PROHIBIT_BROKEN;
  return [
    finding(kind, (blamed ?? probe.step).verb, `${doer} what ${stepName(probe.step)} prohibits: ${text}`, {
      labels: [{ at: probe.step.verb, text: "prohibited from here on" }],
      help: [`do it only \`if: not done ${probe.step.name}\``],
      story: story.lines,
      moments: path.moments,
      subject: { ...subject, ...(blamed ? { step: blamed.name } : {}) },
    }),
  ];
}

function already(context: Context, search: Search, probe: Prohibition): readonly Finding[] {
  const { space } = search;
  const so = probe.edges.some((edge) => space.bdd.meets(search.momentsOf(edge), space.set(probe.truth)));
  if (!so || !probe.step || probe.truth === TRUE) return [];
  const message = `what is prohibited here can be so already: ${quote(probe.condition)}`;
  return [
    finding(PROHIBIT_ALREADY, probe.step.verb, message, {
      remark: "only its coming about anew is looked for",
      help: ["end it before this step if it must not go on"],
      subject: { procedure: context.procedure.id, step: probe.step.name },
    }),
  ];
}
