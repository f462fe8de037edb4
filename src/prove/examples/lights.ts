import { type Example, repository } from "./repository.js";

const OBSERVATORY = `kind: system
title: Observatory on Scaur Hill (fictional)
controls:
  power: { label: POWER, positions: [off, on] }
  shutter: { label: SHUTTER, positions: [shut, open] }
  drive: { label: DRIVE, positions: [off, on], guard-holds: off }
  test: { label: LAMP TEST, positions: [rest, test], springs: { test: rest } }
lights:
  shutter-open: { label: SHUTTER OPEN, colour: amber, lit-when: power is on and (test is test or shutter is open) }
  driving: { label: DRIVING, colour: amber, lit-when: power is on and (test is test or drive is on) }
light-sets:
  dome-panel: [shutter-open, driving]
`;

/** What the card expects of lights, and of guards. */
export const LIGHT_EXAMPLES: readonly (readonly [code: string, example: Example])[] = [
  ["observe/missing", missing()],
  ["observe/surplus", surplus()],
  ["observe/count", count()],
  ["cover/gap", cover()],
  ["guard/closed", guard()],
];

function missing(): Example {
  const around = { system: OBSERVATORY, title: "Open the dome" };
  const open = `
      - set: { shutter: open }
      - observe: [shutter-open]
        lit: [shutter-open]`;
  return { bad: repository(around, open), good: repository(around, "- set: { power: on }", open) };
}

function surplus(): Example {
  const around = { system: OBSERVATORY, title: "Switch on" };
  const look = (lit: string) => `
      - verify: { drive: off }
      - set: { power: on }
      - observe: dome-panel
        lit: ${lit}`;
  return {
    bad: repository(around, look("none")),
    good: repository(around, look("[{ shutter-open: shutter is open }]")),
  };
}

function count(): Example {
  const around = { system: OBSERVATORY, title: "Test the lamps", head: "begins: [power is on]" };
  const look = (amber: number) => `
      - hold: { test: test }
        while:
          - observe: dome-panel
            lit: [shutter-open, driving]
            count: { amber: ${amber} }`;
  return { bad: repository(around, look(3)), good: repository(around, look(2)) };
}

function cover(): Example {
  const around = {
    system: OBSERVATORY,
    title: "Test the lamps",
    head: `
      begins: [power is on, shutter is shut, drive is off]
      covers: [dome-panel]`,
  };
  const test = (after: string) => `
      - hold: { test: test }
        while:
          - observe: dome-panel
            lit: [shutter-open, driving]
      - observe: ${after}
        lit: none`;
  return { bad: repository(around, test("[driving]")), good: repository(around, test("dome-panel")) };
}

function guard(): Example {
  const around = { system: OBSERVATORY, title: "Start the drive" };
  const start = "- set: { drive: on }";
  return { bad: repository(around, start), good: repository(around, "- set: { drive.guard: open }", start) };
}
