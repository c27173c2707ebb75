import { parseArgs } from 'node:util';
import { type Explored, explore } from './explore.ts';
import { MUTANTS, PROGRAM, type Rules } from './rules.ts';
import { firstOf, grainOf, SCENARIOS, type Scenario, sayBounds } from './scenarios.ts';

const { values } = parseArgs({
  options: {
    /** Only what is quick enough for every change. */
    share: { type: 'boolean', default: false },
    /** Only scenarios whose name has this in it. */
    only: { type: 'string' },
  },
});

const say = (line: string) => process.stdout.write(`${line}\n`);
const beganMs = Date.now();
const seconds = (sinceMs: number) => `${((Date.now() - sinceMs) / 1000).toFixed(1)} s`;

/** What is larger is not explored to its end: it has to be made smaller, and counts as a failure. */
const MOST_STATES = 2_000_000;

function run(scenario: Scenario, rules: Rules): Explored {
  return explore({
    first: firstOf(scenario),
    rules,
    grain: grainOf(scenario),
    mostStates: MOST_STATES,
  });
}

const { share, only } = values;
const chosen = SCENARIOS.filter(
  ({ name, isInShare }) => (!share || isInShare) && (only === undefined || name.includes(only)),
);
const sum = { states: 0, transitions: 0 };
for (const scenario of chosen) {
  const fromMs = Date.now();
  const { states, depth, transitions, quiet, isWhole, counterexample } = run(scenario, PROGRAM);
  sum.states += states;
  sum.transitions += transitions;
  say(`${scenario.name} (${sayBounds(scenario)})`);
  say(
    `  ${states} states, depth ${depth}, ${transitions} transitions, ${quiet} quiet, ${seconds(fromMs)}`,
  );
  if (!isWhole) {
    process.exitCode = 1;
    say('  NOT WHOLE: it was ended there');
  }
  if (counterexample === null) continue;
  process.exitCode = 1;
  for (const what of counterexample.broken) say(`  BROKEN: ${what}`);
  for (const [index, event] of counterexample.events.entries()) say(`    ${index + 1}. ${event}`);
}
say(
  `${chosen.length} scenarios, each to its last state unless said otherwise: ${sum.states} states, ${sum.transitions} transitions, ${seconds(beganMs)}`,
);

for (const { name, rules, foundIn } of only === undefined ? MUTANTS : []) {
  const fromMs = Date.now();
  const scenario = SCENARIOS.find((one) => one.name === foundIn);
  const found = scenario === undefined ? null : run(scenario, rules);
  if (found === null || found.counterexample === null) {
    process.exitCode = 1;
    say(`${name}: NOT FOUND OUT`);
    continue;
  }
  const { broken, events } = found.counterexample;
  say(
    `${name}: found out after ${found.states} states and ${events.length} events, ${seconds(fromMs)}: ${broken[0]}`,
  );
}
