import { unreachable } from "../../invariant.js";
import type { Block } from "./content.js";

/** Which steps of a card are new or altered, and before which a line is gone, by step name. */
export interface Changes {
  readonly changed: ReadonlySet<string>;
  readonly removedBefore: ReadonlySet<string>;
}

interface Entry {
  readonly name: string;
  readonly content: string;
}

/**
 * Compares the printed content of two states of a card. A step is unchanged where the old card has one of the same name and
 * content, or (its name being made from its place) one of the same content elsewhere: a moved line is not a new one.
 */
export function changesBetween(before: readonly Block[], after: readonly Block[]): Changes {
  const old = entriesOf(before);
  const now = entriesOf(after);
  const matched = matchEntries(old, now);
  const changed = new Set(now.filter((entry) => !matched.has(entry)).map((entry) => entry.name));
  return { changed, removedBefore: removals(old, now, matched) };
}

function matchEntries(old: readonly Entry[], now: readonly Entry[]): ReadonlyMap<Entry, Entry> {
  const matched = new Map<Entry, Entry>();
  const free = new Map<string, Entry[]>();
  const exact = new Map(old.map((entry) => [keyOf(entry), entry]));
  for (const entry of now) {
    const same = exact.get(keyOf(entry));
    if (same) matched.set(entry, same);
  }
  const taken = new Set(matched.values());
  for (const entry of old) if (!taken.has(entry)) free.set(entry.content, [...(free.get(entry.content) ?? []), entry]);
  for (const entry of now) {
    const other = matched.has(entry) ? undefined : free.get(entry.content)?.shift();
    if (other) matched.set(entry, other);
  }
  return matched;
}

/** An old line that is matched by nothing and replaced by nothing leaves a mark before the next line that stayed. */
function removals(
  old: readonly Entry[],
  now: readonly Entry[],
  matched: ReadonlyMap<Entry, Entry>,
): ReadonlySet<string> {
  const stayed = new Map([...matched].map(([entry, other]) => [other, entry]));
  const names = new Set(now.map((entry) => entry.name));
  const marks = new Set<string>();
  let gone = false;
  for (const entry of old) {
    const here = stayed.get(entry);
    if (!here) gone ||= !names.has(entry.name);
    else if (gone) {
      marks.add(here.name);
      gone = false;
    }
  }
  const last = now.at(-1);
  if (gone && last) marks.add(last.name);
  return marks;
}

function keyOf(entry: Entry): string {
  return `${entry.name}\n${entry.content}`;
}

/** Every step and heading with what it prints itself; numbers and marks are left out, or one new line would change all below it. */
function entriesOf(blocks: readonly Block[]): readonly Entry[] {
  return blocks.flatMap(entriesIn);
}

function entriesIn(block: Block): readonly Entry[] {
  switch (block.kind) {
    case "section":
      return [entry(block.name, [block.title, block.by, block.alerts]), ...entriesOf(block.blocks)];
    case "memory":
      return [entry(block.name, [block.alerts]), ...entriesOf(block.blocks)];
    case "group":
      return entriesOf(block.blocks);
    case "step": {
      const own = [block.by, block.only, block.alerts, block.lines, leads(block.after)];
      return [entry(block.name, own), ...entriesOf(block.after)];
    }
    default:
      return unreachable(block);
  }
}

function entry(name: string, parts: readonly unknown[]): Entry {
  return { name, content: JSON.stringify(parts) };
}

function leads(blocks: readonly Block[]): readonly unknown[] {
  return blocks.flatMap((block) => (block.kind === "group" ? [block.word, block.text, block.boxes] : []));
}
