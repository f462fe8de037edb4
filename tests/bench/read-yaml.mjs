/** The bare reader that `check` is measured beside: reads the files named, parses each with `yaml`, counts their keys. */
import { readFileSync } from "node:fs";
import { parse } from "yaml";

let keys = 0;
for (const path of process.argv.slice(2)) keys += Object.keys(parse(readFileSync(path, "utf8"))).length;
console.log(keys);
