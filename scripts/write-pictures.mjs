/**
 * Makes the pictures of the README anew from the cards of the examples: pages as `pdftoppm` (poppler) renders them, and a card on a screen at night as
 * Chromium shows it. Needs both; the pictures are committed, so that nobody else does.
 */
import { execFileSync } from "node:child_process";
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";

const ROOT = fileURLToPath(new URL("..", import.meta.url));
const PICTURES = join(ROOT, "docs", "pictures");
const folder = mkdtempSync(join(tmpdir(), "proofcard-pictures-"));

try {
  mkdirSync(PICTURES, { recursive: true });
  build("anser", "A5");
  build("merrow-m46", "A5");
  page("anser", "emergency-start", 1, "card");
  page("merrow-m46", "cold-power-up", 1, "card-grey", ["-gray"]);
  page("merrow-m46", "preflight-flow", 1, "flow");
  night("merrow-m46", "fire-detection-test", "night");
} finally {
  rmSync(folder, { recursive: true, force: true });
}

function build(example, paper) {
  const args = ["build", join(ROOT, "examples", example), "--paper", paper, "--out", join(folder, example)];
  execFileSync(process.execPath, [join(ROOT, "bin", "proofcard.js"), ...args], { stdio: "ignore" });
}

function page(example, card, number, name, more = []) {
  const file = join(folder, example, "cards", `${card}.pdf`);
  const pages = ["-f", String(number), "-l", String(number), "-singlefile", "-r", "72", "-png", ...more];
  execFileSync("pdftoppm", [...pages, file, join(PICTURES, name)]);
}

/** The theme is a radio button of the page: it is pressed in a copy. */
function night(example, card, name) {
  const text = readFileSync(join(folder, example, "cards", `${card}.html`), "utf8");
  const copy = join(folder, "night.html");
  writeFileSync(
    copy,
    text.replace('id="theme-day" checked', 'id="theme-day"').replace('id="theme-night"', 'id="theme-night" checked'),
  );
  const flags = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--hide-scrollbars",
  ];
  const shot = [
    `--screenshot=${join(PICTURES, `${name}.png`)}`,
    "--window-size=640,905",
    `--user-data-dir=${join(folder, "profile")}`,
  ];
  execFileSync("chromium", [...flags, ...shot, pathToFileURL(copy).href], { stdio: "ignore" });
}
