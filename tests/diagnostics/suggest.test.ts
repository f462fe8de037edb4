import { expect, test } from "vitest";
import { suggest } from "../../src/diagnostics/suggest.js";

const LIGHTS = ["battery-low", "left-gen-off", "right-gen-off", "cabin-door-open", "bow-thruster-oil-hot", "horn"];

test.each([
  ["battery-lwo", "battery-low", "two letters swapped"],
  ["low-battery", "battery-low", "the same parts in another order"],
  ["gen-off-left", "left-gen-off", "the same parts, of two lights that share most of them"],
  ["door-open-cabin", "cabin-door-open", "three parts in another order"],
  ["cabin-door-ajar", "cabin-door-open", "one part of three is another"],
  ["thruster-oil-hot", "bow-thruster-oil-hot", "one part left out"],
])("%s is near %s: %s", (word, meant) => {
  expect(suggest(word, LIGHTS)).toBe(meant);
});

test.each([
  ["gen-off", "two are as near"],
  ["battery-high", "one part of two is no more than a guess"],
  ["siren", "nothing is near"],
])("nothing is near %s: %s", (word) => {
  expect(suggest(word, LIGHTS)).toBeUndefined();
});
