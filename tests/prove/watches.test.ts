import { expect, test } from "vitest";
import { buildModel } from "../../src/machine/model.js";
import { proveProcedure } from "../../src/prove/prove.js";
import { differences } from "../support/compare.js";
import { aside, ask, finish, micro, press, say, set, together, verify, watch } from "../support/micro.js";

/** Made up: two watches, and a third that the answer to one of them sets up. */
const WOVEN = micro(
  [
    "ctl pump: off on",
    "ctl horn: rest sound, springs sound>rest",
    "sig hatch: shut open",
    "sig tank: low full",
    "rule quiet: never horn is sound and pump is off",
  ].join("\n"),
  {
    begins: ["pump is on"],
    ends: [],
    steps: [
      watch("hatch is shut", [press("horn sound"), aside()]),
      watch("tank is full", [watch("pump is on", [verify("pump on")]), set("pump off")]),
      ask("hatch", "open"),
      ask("tank", "low"),
      set("pump on"),
    ],
  },
);

test("a watch that the answer to another sets up is not answered within its own answer", () => {
  const { graph } = buildModel(WOVEN.program, WOVEN.system, WOVEN.procedure, WOVEN.system.tails[0]!);
  expect(graph.nodes.length).toBeLessThan(2000);
});

test("and comes to what the interpreter of single steps makes of it", () => {
  expect(differences(WOVEN, 20_000)).toEqual([]);
});

test("a lane whose last line is no act can still answer a watch ahead of it, as the interpreter has it", () => {
  const lane = [watch("c is off", [set("c on"), finish()]), say()];
  const steps = [together(lane, [set("c on"), set("c off"), set("c on")])];
  const world = micro("ctl c: off on", { begins: ["c is off"], ends: ["c is on"], steps });
  const { findings } = proveProcedure(world.program, world.procedure, {});
  expect(findings.map(({ code }) => code)).toContain("flow/promise");
  expect(differences(world, 20_000)).toEqual([]);
});
