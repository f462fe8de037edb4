import { expect, test } from "vitest";
import { buildModel } from "../../src/machine/model.js";
import { differences } from "../support/compare.js";
import { aside, ask, micro, press, set, verify, watch } from "../support/micro.js";

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
