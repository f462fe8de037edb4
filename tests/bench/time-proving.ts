import { buildModel } from "../../src/machine/model.js";
import { contextOf } from "../../src/prove/context.js";
import { proveRule } from "../../src/prove/rules.js";
import { searchWhole } from "../../src/prove/whole/search.js";
import { type Size, synthetic } from "./synthetic.js";

// A process of its own for the benchmark: proves so many synthetic systems of a size, one after the other, and says what it took.

const [size = "", count = "1", warming = "0", patience = "3"] = process.argv.slice(2);

/** What each rule takes, and all the other questions together, in milliseconds. */
function timed(seed: number, wanted: Size) {
  const { program, procedure, system } = synthetic(seed, wanted);
  let until = Number.POSITIVE_INFINITY;
  const deadline = () => performance.now() > until;
  const measure = <T>(work: () => T): [T, number] => {
    const began = performance.now();
    until = began + Number(patience) * 1000;
    const result = work();
    return [result, performance.now() - began];
  };
  const model = buildModel(program, system, procedure, system.tails[0]!);
  const context = contextOf(program, procedure, model, { deadline });
  const [, whole] = measure(() => searchWhole(context));
  const results = model.rules.map((rule) => measure(() => proveRule(context, rule)));
  return { whole, rules: results.map(([, time]) => time), verdicts: results.map(([{ verdict }]) => verdict) };
}

const wanted = JSON.parse(size) as Size;
for (let seed = 1000; seed < 1000 + Number(warming); seed++) timed(seed, wanted);
const timings = Array.from({ length: Number(count) }, (_, index) => timed(index + 1, wanted));
process.stdout.write(JSON.stringify({ timings, megabytes: process.resourceUsage().maxRSS / 1024 }));
