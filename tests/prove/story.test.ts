import { expect, test } from "vitest";
import { proveProgram } from "../../src/prove/prove.js";
import { micro, set, verify } from "../support/micro.js";

/** Made up: six handles that the card verifies, and one that it forgets. */
const FORGOTTEN = [
  "ctl left: off on",
  "ctl right: off on",
  "ctl upper: off on",
  "ctl lower: off on",
  "ctl inner: off on",
  "ctl front: off on",
  "ctl outer: off on",
  "ctl key: off on",
  "rule apart: never key is on and outer is on",
].join("\n");

test("what makes it go wrong is told apart from what only leads along the way, which is cut short where it is long", () => {
  const seen = ["left off", "right off", "upper off", "lower off", "inner off", "front off"];
  const { program } = micro(FORGOTTEN, {
    begins: [],
    ends: [],
    steps: [...seen.map((one) => verify(one)), set("key on")],
  });
  const [finding] = proveProgram(program).findings.filter(({ code }) => code === "order/never");
  const lines = finding!.story!.map(({ when, what, brief }) => [when, what, brief]);
  expect(lines.slice(0, 2)).toEqual([
    ["start", "outer ON, key OFF", undefined],
    [
      "with",
      "left OFF, right OFF, upper OFF, lower OFF, inner OFF, front OFF, to come along this way; the rest may be anything",
      "left OFF, right OFF, upper OFF, lower OFF and 2 more, to come along this way; the rest may be anything",
    ],
  ]);
});

test("where the way leads through any start, only what makes it go wrong is told", () => {
  const { program } = micro(FORGOTTEN, { begins: ["key is off"], ends: [], steps: [set("key on")] });
  const [finding] = proveProgram(program).findings.filter(({ code }) => code === "order/never");
  expect(finding!.story![0]).toEqual({ when: "start", what: "outer ON; the rest may be anything" });
});
