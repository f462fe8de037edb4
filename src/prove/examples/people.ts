import { type Example, repository } from "./repository.js";

const LIGHTHOUSE = `kind: system
title: Lighthouse on Gull Stack (fictional)
controls:
  shutters: { label: SHUTTERS, positions: [closed, open] }
  lamp: { label: LAMP, positions: [off, on] }
  signal: { label: SIGNAL, positions: [rest, flash], springs: { flash: rest } }
  horn: { label: HORN, positions: [rest, sound], springs: { sound: rest }, duty: { on: 10 s, rest: 30 s, tries: 2 } }
`;

const BLAST = `
      - hold: { horn: sound }
        for: 5 s`;

/** What several people do, what they can see, what they are told not to do, and for how long they hold a thing. */
export const PEOPLE_EXAMPLES: readonly (readonly [code: string, example: Example])[] = [
  ["lanes/held", held()],
  ["view/cannot-see", cannotSee()],
  ["prohibit/broken", prohibited()],
  ["prohibit/already-so", alreadyProhibited()],
  ["duty/on", tooLong()],
  ["duty/rest", tooSoon()],
  ["duty/tries", tooOften()],
];

function held(): Example {
  const around = {
    system: LIGHTHOUSE,
    title: "Hail a boat",
    head: "crew: { keeper: Keeper, mate: Assistant keeper }",
  };
  const lanes = (mate: string) => `
      - together:
          keeper:
            - hold: { signal: flash }
              id: long-flash
              for: 5 s
          mate:
            - ${mate}
            - verify: { signal: rest }`;
  return {
    bad: repository(around, lanes("do: Look for the boat")),
    good: repository(around, lanes("wait-for: done long-flash")),
  };
}

function cannotSee(): Example {
  const lighthouse = (shown: string) => `${LIGHTHOUSE}equipment:
  battery: { label: Battery, ${shown}states: [full, flat] }
`;
  const around = { title: "Light the lamp" };
  const steps = `
      - check: battery is full
        if-not: { set-aside: Start the generator. }
      - set: { lamp: on }`;
  return {
    bad: repository({ ...around, system: lighthouse("") }, steps),
    good: repository({ ...around, system: lighthouse("shown: the pointer on its case, ") }, steps),
  };
}

function prohibited(): Example {
  const lighthouse = `${LIGHTHOUSE}outside:
  lens: { states: [whole, cracked], shown: a look through the hatch }
`;
  const around = { system: lighthouse, title: "Light the lamp", head: "begins: [lamp is off]" };
  const look = `
      - if: lens is cracked
        then:
          - prohibit: lamp is on
            id: lamp-barred`;
  const guarded = `
      - if: not done lamp-barred
        then:
          - set: { lamp: on }`;
  return { bad: repository(around, look, "- set: { lamp: on }"), good: repository(around, look, guarded) };
}

function alreadyProhibited(): Example {
  const around = { system: LIGHTHOUSE, title: "Make ready to clean the lens" };
  const steps = `
      - prohibit: lamp is on
      - set: { shutters: closed }`;
  return { bad: repository(around, steps), good: repository(around, "- verify: { lamp: off }", steps) };
}

function tooLong(): Example {
  const around = { system: LIGHTHOUSE, title: "Sound the horn" };
  const blast = (seconds: number) => `
      - hold: { horn: sound }
        for: ${seconds} s`;
  return { bad: repository(around, blast(15)), good: repository(around, blast(10)) };
}

function tooSoon(): Example {
  const around = { system: LIGHTHOUSE, title: "Sound the horn twice" };
  const twice = (seconds: number) => repository(around, BLAST, `- wait: ${seconds} s`, BLAST);
  return { bad: twice(10), good: twice(30) };
}

function tooOften(): Example {
  const around = { system: LIGHTHOUSE, title: "Sound the horn" };
  const twice = [BLAST, "- wait: 30 s", BLAST];
  return { bad: repository(around, ...twice, "- wait: 30 s", BLAST), good: repository(around, ...twice) };
}
