import { type Example, repository } from "./repository.js";

const LOCK = `kind: system
title: Lock on the Wendle cut (fictional)
controls:
  lower-gate: { label: LOWER GATE, positions: [shut, open] }
  upper-gate: { label: UPPER GATE, positions: [shut, open] }
  sluice: { label: SLUICE, positions: [shut, open] }
`;

const BREWHOUSE = `kind: system
title: Brewhouse at Orran Mill (fictional)
controls:
  gas: { label: GAS, positions: [off, on] }
  stirrer: { label: STIRRER, positions: [off, on] }
  flue: { label: FLUE, positions: [shut, open] }
  igniter: { label: IGNITER, positions: [rest, spark], springs: { spark: rest } }
`;

/** The rules over the order of things, each broken by a card and kept by the same card mended. */
export const ORDER_EXAMPLES: readonly (readonly [code: string, example: Example])[] = [
  ["order/never", never()],
  ["order/always", always()],
  ["order/when", when()],
  ["order/while", whileSo()],
  ["order/before", before()],
  ["order/after", after()],
  ["order/within", within()],
  ["order/at-most", atMost()],
  ["order/already-so", alreadySo()],
  ["order/idle", idle()],
];

function never(): Example {
  const around = {
    system: LOCK,
    title: "Let a boat in from above",
    head: "begins: [upper-gate is shut]",
    rule: `
      id: one-gate-at-a-time
      never: lower-gate is open and upper-gate is open
      because: The water above runs out through both.`,
  };
  return {
    bad: repository(around, "- set: { upper-gate: open }"),
    good: repository(
      around,
      `
      - verify: { lower-gate: shut }
      - set: { upper-gate: open }`,
    ),
  };
}

function always(): Example {
  const around = {
    system: LOCK,
    title: "Empty the lock",
    head: "begins: [upper-gate is shut, sluice is shut]",
    rule: `
      id: water-held-above
      always: upper-gate is shut or sluice is shut`,
  };
  return {
    bad: repository(
      around,
      `
      - set: { sluice: open }
      - do: Wait for the boat to leave
      - set: { upper-gate: open }`,
    ),
    good: repository(
      around,
      `
      - set: { sluice: open }
      - do: Wait for the boat to leave
      - set: { sluice: shut }
      - set: { upper-gate: open }`,
    ),
  };
}

function when(): Example {
  const around = {
    system: BREWHOUSE,
    title: "Heat the kettle",
    head: "begins: [gas is off]",
    rule: `
      id: flue-open-before-gas
      says: The flue is open when the gas comes on.
      require: flue is open
      when: gas is on`,
  };
  return {
    bad: repository(
      around,
      `
      - set: { gas: on }
      - set: { flue: open }`,
    ),
    good: repository(
      around,
      `
      - set: { flue: open }
      - set: { gas: on }`,
    ),
  };
}

function whileSo(): Example {
  const around = {
    system: BREWHOUSE,
    title: "Boil",
    head: "begins: [gas is off]",
    rule: `
      id: stir-while-hot
      says: The stirrer runs as long as the gas is on.
      require: stirrer is on
      while: gas is on
      because: The mash burns to the bottom.`,
  };
  const boil = `
      - set: { stirrer: on }
      - set: { gas: on }
      - wait: 60 s`;
  return {
    bad: repository(around, boil, "- set: { stirrer: off }", "- set: { gas: off }"),
    good: repository(around, boil, "- set: { gas: off }", "- set: { stirrer: off }"),
  };
}

function before(): Example {
  const around = {
    system: BREWHOUSE,
    title: "Heat the kettle",
    head: "begins: [gas is off]",
    rule: `
      id: flue-seen-before-gas
      says: Somebody has looked at the flue before the gas comes on.
      require: checked (flue is open)
      before: gas is on`,
  };
  const look = `
      - check: flue is open
        if-not: { set-aside: Open the flue. }`;
  const light = "- set: { gas: on }";
  return { bad: repository(around, light, look), good: repository(around, look, light) };
}

function after(): Example {
  const around = {
    system: LOCK,
    title: "Fill the lock",
    head: "begins: [sluice is shut]",
    rule: `
      id: sluice-shut-again
      says: The sluice is shut again before the card is left.
      after: sluice is open
      require: sluice is shut
      no-later-than: end`,
  };
  return {
    bad: repository(
      around,
      `
      - set: { sluice: open }
      - check: lower-gate is shut
        if-not: { set-aside: Call the lock keeper. }
      - wait: 5 min
      - set: { sluice: shut }`,
    ),
    good: repository(
      around,
      `
      - set: { sluice: open }
      - check: lower-gate is shut
        if-not:
          - set: { sluice: shut }
          - set-aside: Call the lock keeper.
      - wait: 5 min
      - set: { sluice: shut }`,
    ),
  };
}

function within(): Example {
  const around = {
    system: BREWHOUSE,
    title: "Light the kettle",
    head: "begins: [gas is off]",
    rule: `
      id: light-at-once
      says: The gas is lit within 10 seconds.
      after: gas is on
      require: igniter is spark
      within: 10 s`,
  };
  return {
    bad: repository(
      around,
      `
      - set: { gas: on }
      - wait: 30 s
      - press: { igniter: spark }`,
    ),
    good: repository(
      around,
      `
      - set: { gas: on }
      - wait: 5 s
      - press: { igniter: spark }`,
    ),
  };
}

function atMost(): Example {
  const around = {
    system: BREWHOUSE,
    title: "Light the kettle",
    rule: `
      id: two-sparks
      at-most: 2
      times: igniter is spark
      because: Gas gathers with every try.`,
  };
  const tries = (times: number) => `
      - repeat:
          - press: { igniter: spark }
          - do: Look for a flame
        times: ${times}`;
  return { bad: repository(around, tries(3)), good: repository(around, tries(2)) };
}

function alreadySo(): Example {
  const around = {
    system: BREWHOUSE,
    title: "Heat the kettle",
    rule: `
      id: no-gas-into-a-shut-flue
      never: gas is on and flue is shut`,
  };
  const steps = `
      - verify: { flue: open }
      - set: { gas: on }`;
  return { bad: repository(around, steps), good: repository({ ...around, head: "begins: [gas is off]" }, steps) };
}

function idle(): Example {
  const around = { system: BREWHOUSE, title: "Heat the kettle", head: "begins: [gas is off, stirrer is off]" };
  const steps = `
      - set: { flue: open }
      - set: { gas: on }`;
  const rule = (control: string) => `
      id: flue-open-before-gas
      require: flue is open
      when: ${control} is on`;
  return {
    bad: repository({ ...around, rule: rule("stirrer") }, steps),
    good: repository({ ...around, rule: rule("gas") }, steps),
  };
}
