/** What many pairs come to, as Markdown. */
import type { Grade } from '@firstcrank/analysis'
import { FIRST_SEED, TUNING_END } from './draws.js'
import { RESULT } from './page.js'
import { DEEDS } from './pair-kinds.js'
import type { PairOutcome } from './pairs.js'
import { percent, table } from './tables.js'

const GRADES: readonly Grade[] = ['proved', 'supported', 'not-proved', 'not-tested', 'came-back']

/** The part of the page on repairs. */
export function repairsPart(outcomes: readonly PairOutcome[], firstSeed: number): string {
  const shown = outcomes.filter(({ shows }) => shows)
  const right = shown.filter(({ isRight }) => isRight)
  const proved = shown.filter(({ wronglyProved }) => wronglyProved).length
  const supported = shown.filter(({ wronglySupported }) => wronglySupported).length
  const seeds = new Set(outcomes.map(({ seed }) => seed)).size
  return `## Repairs: is the grade right?

Pairs of runs of one vehicle, before and after something was done to it, ${seeds} seeds of each kind from seed ${firstSeed} on, with weather, height and severity drawn anew.${firstSeed < FIRST_SEED ? ' **That is for tuning, not an evaluation.**' : ` The grades were tuned on seeds below ${TUNING_END}.`} The faults are cleared before every later run. No profile is used.

${RESULT} The grade is right in ${right.length} of ${shown.length} pairs: ${percent(right.length, shown.length)}. “Proved” of something that was not mended: ${proved}; “supported” of such: ${supported}.

What is right: where the node really had the fault again, came back. Not mended and never exercised: not tested. Not mended, driven, and by chance not seen: not tested or not proved. Mended: proved where what was broken is measured (a circuit, a valve, a voltage, a pressure); supported where a fault that was always there stays away in a run like the earlier one, or where one that came and went stays away for longer than chance explains, counted by the truth of both runs; else not proved or not tested. A right pair names every new fault, and none that is not there. Pairs in which no root fault was reported before are left out.

${table(
  ['what was done', 'pairs', 'shown', 'right', ...GRADES.map((grade) => grade.replace('-', ' ')), 'wrong ones'],
  DEEDS.flatMap(({ deed, words }) => {
    const all = outcomes.filter((outcome) => outcome.deed === deed)
    const these = all.filter(({ shows }) => shows)
    if (all.length === 0) return []
    return [
      [
        words,
        all.length,
        these.length,
        percent(these.filter(({ isRight }) => isRight).length, these.length),
        ...gradeCounts(these),
        wrongOnes(these),
      ],
    ]
  }),
)}

The same by story. The columns of grades count faults: a story may have several.

${table(
  ['story', 'a repair shows by', 'pairs', 'right', ...GRADES.map((grade) => grade.replace('-', ' ')), 'wrong ones'],
  [...new Set(shown.map(({ story }) => story))].map((story) => {
    const these = shown.filter((outcome) => outcome.story === story)
    return [
      story,
      PROOF_WORDS[these[0].proof],
      these.length,
      percent(these.filter(({ isRight }) => isRight).length, these.length),
      ...gradeCounts(these),
      wrongOnes(these),
    ]
  }),
)}
`
}

const PROOF_WORDS: Readonly<Record<PairOutcome['proof'], string>> = {
  direct: 'what is measured',
  absence: 'its absence',
  counted: 'counts and times',
}

function gradeCounts(outcomes: readonly PairOutcome[]): number[] {
  return GRADES.map((grade) => outcomes.flatMap(({ grades }) => grades.filter((other) => other === grade)).length)
}

/** What was wrong, and in how many pairs. */
function wrongOnes(outcomes: readonly PairOutcome[]): string {
  const counts = new Map<string, number>()
  for (const { why } of outcomes) if (why !== '') counts.set(why, (counts.get(why) ?? 0) + 1)
  return [...counts].map(([why, count]) => `${why} (${count})`).join('; ') || '–'
}
