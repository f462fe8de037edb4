import { type Example, repository } from "./repository.js";

const POWER_ON = "- set: { power: on }";

/** Equipment that does not settle, or settles by chance. The system is mended, not the card. */
export const SYSTEM_EXAMPLES: readonly (readonly [code: string, example: Example])[] = [
  ["system/conflict", conflict()],
  ["system/race", race()],
  ["system/never-settles", neverSettles()],
];

function conflict(): Example {
  const greenhouse = (opens: string) => `kind: system
title: Greenhouse at Tolland (fictional)
outside:
  air: { states: [cool, warm], shown: the thermometer by the door }
  sky: { states: [dry, rain], shown: a look through the roof }
controls:
  power: { label: VENTS, positions: [off, on] }
equipment:
  vents:
    label: Roof vents
    shown: a look at the roof
    states: [resting, opening, closing]
    changes:
      - { from: resting, to: opening, when: ${opens} }
      - { from: resting, to: closing, when: power is on and sky is rain }
`;
  const around = { title: "Give the vents power", head: "begins: [power is off, vents is resting]" };
  return {
    bad: repository({ ...around, system: greenhouse("power is on and air is warm") }, POWER_ON),
    good: repository({ ...around, system: greenhouse("power is on and air is warm and sky is dry") }, POWER_ON),
  };
}

function race(): Example {
  const fountain = (left: string, right: string) => `kind: system
title: Fountain in Almery Park (fictional)
controls:
  power: { label: POWER, positions: [off, on] }
  lead: { label: LEAD PUMP, positions: [left, right] }
equipment:
  left-pump:
    label: Left pump
    shown: its jet
    states: [resting, running]
    changes:
      - { from: resting, to: running, when: ${left} }
      - { from: running, to: resting, when: power is off }
  right-pump:
    label: Right pump
    shown: its jet
    states: [resting, running]
    changes:
      - { from: resting, to: running, when: ${right} }
      - { from: running, to: resting, when: power is off }
`;
  const around = { title: "Start the fountain", head: "begins: [power is off]" };
  const first = (other: string) => `power is on and ${other} is resting`;
  const chosen = (side: string) => `power is on and lead is ${side}`;
  return {
    bad: repository({ ...around, system: fountain(first("right-pump"), first("left-pump")) }, POWER_ON),
    good: repository({ ...around, system: fountain(chosen("left"), chosen("right")) }, POWER_ON),
  };
}

function neverSettles(): Example {
  const chime = (opens: string) => `kind: system
title: Clock tower of Selby Cross (fictional)
controls:
  power: { label: CHIME, positions: [off, on] }
equipment:
  relay:
    label: Chime relay
    shown: its flag
    states: [open, closed]
    changes:
      - { from: open, to: closed, when: power is on }
      - { from: closed, to: open, when: ${opens} }
`;
  const around = { title: "Switch the chime on", head: "begins: [power is off]" };
  return {
    bad: repository({ ...around, system: chime("power is on") }, POWER_ON),
    good: repository({ ...around, system: chime("power is off") }, POWER_ON),
  };
}
