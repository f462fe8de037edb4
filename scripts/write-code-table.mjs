/** Writes the table of codes into README.md, between its marks, from the catalogue of the built program. */
import { readFileSync, writeFileSync } from "node:fs";
import { CATALOGUE, codeTable } from "../dist/index.js";

const README = new URL("../README.md", import.meta.url);
const BEGIN = "<!-- codes: written by scripts/write-code-table.mjs -->\n";
const END = "<!-- end of codes -->";

const text = readFileSync(README, "utf8");
const [begin, end] = [text.indexOf(BEGIN), text.indexOf(END)];
if (begin < 0 || end < begin) throw new Error("README.md has no marks for the table of codes");
writeFileSync(README, text.slice(0, begin + BEGIN.length) + codeTable(CATALOGUE) + text.slice(end));
