import { type Example, repository } from "./repository.js";

const DOCK = `kind: system
title: Dry dock at Pellan (fictional)
gauges:
  depth: { label: DEPTH, unit: m, range: 0 to 8 }
controls:
  supply: { label: SUPPLY, positions: [off, on] }
  valve: { label: VALVE, positions: [shut, open] }
  dock-gate: { label: GATE, positions: [shut, open] }
equipment:
  pump:
    label: Pump
    shown: its hum
    states: [resting, running]
    changes:
      - { from: resting, to: running, when: supply is on and valve is open, takes: 3 s to 8 s }
      - { from: running, to: resting, when: supply is off }
lights:
  live: { label: SUPPLY ON, colour: white, lit-when: supply is on }
`;

const SHIP_IN = `kind: procedure
title: Bring a ship in
category: normal
begins: [dock-gate is open]
steps:
  - do: Haul the ship in
  - set: { dock-gate: shut }
`;

/** Whether the card can be gone through, ends, and keeps its word. */
export const FLOW_EXAMPLES: readonly (readonly [code: string, example: Example])[] = [
  ["flow/waits-for-ever", waitsForEver()],
  ["flow/never-ends", neverEnds()],
  ["flow/gap", gap()],
  ["flow/needs", needs()],
  ["flow/begins", begins()],
  ["flow/hand-over", handOver()],
  ["flow/promise", promise()],
  ["flow/no-start", noStart()],
  ["flow/never-reached", neverReached()],
  ["flow/never-taken", neverTaken()],
  ["flow/no-effect", noEffect()],
];

function waitsForEver(): Example {
  const around = { system: DOCK, title: "Start the pump" };
  const start = `
      - set: { supply: on }
      - wait-for: pump is running`;
  return { bad: repository(around, start), good: repository(around, "- verify: { valve: open }", start) };
}

function neverEnds(): Example {
  const around = { system: DOCK, title: "Empty the dock" };
  const pumping = `
      - set: { valve: open }
      - repeat:
          - do: Read the depth
        until: depth <= 1 m`;
  return { bad: repository(around, pumping), good: repository(around, `${pumping}\n        moves: [depth]`) };
}

function gap(): Example {
  const around = { system: DOCK, title: "Choose how to empty the dock" };
  const ways = `
      - decide:
          - when: depth >= 5 m
            then:
              - set: { valve: open }
              - set: { supply: on }
          - when: depth < 2 m
            then:
              - set: { valve: shut }`;
  const otherwise = `
          - otherwise:
              - set: { valve: open }`;
  return { bad: repository(around, ways), good: repository(around, ways + otherwise) };
}

function needs(): Example {
  const around = { system: DOCK, title: "Start emptying" };
  const start = `
      - set: { supply: on }
        needs: dock-gate is shut`;
  return { bad: repository(around, start), good: repository(around, "- verify: { dock-gate: shut }", start) };
}

function begins(): Example {
  const around = { system: DOCK, title: "Dock a ship", files: { "ship-in.yaml": SHIP_IN } };
  const steps = `
      - perform: ship-in
      - set: { valve: open }`;
  return { bad: repository(around, steps), good: repository(around, "- set: { dock-gate: open }", steps) };
}

function handOver(): Example {
  const around = {
    system: DOCK,
    title: "Open the dock",
    head: "next: ship-in",
    files: { "ship-in.yaml": SHIP_IN },
  };
  const flood = "- set: { valve: open }";
  return { bad: repository(around, flood), good: repository(around, flood, "- set: { dock-gate: open }") };
}

function promise(): Example {
  const around = { system: DOCK, title: "Close the dock", head: "ends: [dock-gate is shut]" };
  const swing = (otherwise: string) => `
      - if: depth >= 2 m
        then:
          - set: { dock-gate: shut }
        else:
          - ${otherwise}`;
  return {
    bad: repository(around, swing("do: Leave the gate for the tide")),
    good: repository(around, swing("set-aside: Wait for the tide.")),
  };
}

function noStart(): Example {
  const around = { system: DOCK, title: "Switch on" };
  const steps = "- set: { supply: on }";
  return {
    bad: repository({ ...around, head: "begins: [supply is off, live is lit]" }, steps),
    good: repository({ ...around, head: "begins: [supply is off, live is out]" }, steps),
  };
}

function neverReached(): Example {
  const around = { system: DOCK, title: "Close the valve" };
  const look = `
      - if: valve is open
        then:
          - set: { valve: shut }`;
  return { bad: repository(around, "- verify: { valve: shut }", look), good: repository(around, look) };
}

function neverTaken(): Example {
  const around = { system: DOCK, title: "Flood the dock" };
  const look = `
      - check: dock-gate is shut
        if-not: { set-aside: Shut the gate. }
      - set: { valve: open }`;
  return { bad: repository(around, "- set: { dock-gate: shut }", look), good: repository(around, look) };
}

function noEffect(): Example {
  const around = { system: DOCK, title: "Flood the dock", head: "begins: [dock-gate is shut]" };
  const flood = "- set: { valve: open }";
  return { bad: repository(around, "- set: { dock-gate: shut }", flood), good: repository(around, flood) };
}
