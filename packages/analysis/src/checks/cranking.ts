/** How fast and how long the starter turned. */
import { interpolate } from '../derived/map.js'
import type { Phase } from '../model.js'
import { median, SECOND, secondsOf } from '../series.js'
import { type CheckContext, from, say, upTo } from './context.js'
import { type CheckDefinition, type Judged, notJudged, type Outcome } from './definition.js'

/** The starter is up to speed after so long. */
const UP_TO_SPEED = 0.5 * SECOND
/** °C between which limits move from those of mild weather to those of hard frost, and beyond which there are none. */
const MILD = 0
const FROST = -18

/** What a limit is at a temperature: its mild figure above 0 °C, its cold one at −18 °C. */
function byCold(celsius: number, mild: number, cold: number): number {
  return interpolate(
    [
      [FROST, cold],
      [MILD, mild],
    ],
    celsius,
  )
}

function coldWords(celsius: number | undefined): string {
  return celsius === undefined ? '' : ` at ${say(celsius, 0)} °C`
}

/** The result to show of several: the worst, the first of those. */
function worstOf(outcomes: readonly Judged[]): Judged | undefined {
  const byVerdict = (verdict: Judged['verdict']): Judged | undefined => outcomes.find((o) => o.verdict === verdict)
  return byVerdict('fail') ?? byVerdict('caution') ?? byVerdict('pass')
}

function judgeSpeed(context: CheckContext): Outcome {
  const attempts = context.phasesOf(['cranking'])
  if (attempts.length === 0) return notJudged('nobody cranked in this recording')
  const judged = attempts.flatMap((phase): { outcome?: Judged; celsius: number }[] => {
    const speeds = context.within(190, { from: phase.from + UP_TO_SPEED, to: phase.to }).value.filter((rpm) => rpm > 0)
    const speed = median(speeds)
    if (speed === null || speeds.length < 3) return []
    const celsius = context.surroundings(phase.from)?.celsius
    const pass = byCold(
      celsius ?? MILD,
      context.limit('crank-speed.pass-from'),
      context.limit('crank-speed.pass-from-in-frost'),
    )
    const verdict = from(speed, pass, Math.min(pass, context.limit('crank-speed.caution-from')))
    if (verdict !== 'pass' && celsius !== undefined && celsius < FROST) return [{ celsius }]
    const text = `${say(speed, 0)} rpm in cranking${coldWords(celsius)}; wanted ${say(pass, 0)} rpm or more`
    const outcome: Judged = {
      verdict,
      measured: { value: speed, unit: 'rpm', uncertainty: context.halfStep(190) },
      finding: `${text}.`,
      evidence: [context.evidence(phase, `Median ${say(speed, 0)} rpm after the first half second.`, 190, 168)],
    }
    return [{ outcome, celsius: celsius ?? MILD }]
  })
  const worst = worstOf(judged.flatMap(({ outcome }) => outcome ?? []))
  if (worst !== undefined) return worst
  const cold = judged[0]
  if (cold !== undefined) return notJudged(`it was ${say(cold.celsius, 0)} °C, colder than any figure there is`)
  return notJudged('no attempt was long enough, or speed was not sent before the engine fired')
}

/** Attempts up to a start, or up to the end where none worked. */
interface Trial {
  readonly attempts: readonly Phase[]
  readonly started: boolean
}

function trials(attempts: readonly Phase[]): Trial[] {
  const found: Trial[] = []
  let open: Phase[] = []
  for (const attempt of attempts) {
    open.push(attempt)
    if (attempt.attempt?.started !== true) continue
    found.push({ attempts: open, started: true })
    open = []
  }
  if (open.length > 0) found.push({ attempts: open, started: false })
  return found
}

function judgeTime(context: CheckContext): Outcome {
  const found = trials(context.phasesOf(['cranking']))
  if (found.length === 0) return notJudged('nobody cranked in this recording')
  const { fuel, run } = context.profile
  const never = context.limit('crank-time.never-above')
  const outcomes = found.flatMap(({ attempts, started }, index): Judged[] => {
    const seconds = attempts.map(secondsOf)
    const total = seconds.reduce((sum, s) => sum + s, 0)
    const longest = Math.max(...seconds)
    const first = attempts[0] as Phase
    const last = attempts[attempts.length - 1] as Phase
    const celsius = context.surroundings(first.from)?.celsius
    const prime = index === 0 && (run.firstStart === true || fuel.linesEmptied === true)
    const usual = byCold(
      celsius ?? MILD,
      context.limit('crank-time.pass-to'),
      context.limit('crank-time.pass-to-in-frost'),
    )
    const most = context.limit('crank-time.caution-to')
    // An attempt that the recording breaks off may have started a moment later.
    if (!started && total <= most && context.isEnd(last.to)) return []
    const bare = !started ? 'fail' : upTo(total, prime ? most : usual, prime ? never : most)
    const verdict = longest > never ? 'fail' : celsius !== undefined && celsius < FROST && started ? 'pass' : bare
    const count = attempts.length === 1 ? '' : ` in ${attempts.length} attempts`
    const end = started ? 'until it fired' : 'without a start'
    const why = longest > never ? ` One attempt lasted ${say(longest)} s; never longer than ${say(never, 0)} s.` : ''
    const frost =
      verdict === 'pass' && bare !== 'pass' ? ' Colder than any figure there is: only the 30 s were judged.' : ''
    const filling = prime && total > usual && verdict === 'pass' ? ' Empty fuel lines have to be filled first.' : ''
    const text = `Cranked ${say(total)} s${count}${coldWords(celsius)} ${end}.`
    const uncertainty = (2 * Math.max(...attempts.map((a) => a.resolution))) / SECOND
    return [
      {
        verdict,
        measured: { value: total, unit: 's', uncertainty },
        finding: `${text}${why}${frost}${filling}`,
        evidence: [context.evidence({ from: first.from, to: last.to }, text, 190, 168)],
        ...(started ? {} : { advice: NO_START }),
      },
    ]
  })
  return worstOf(outcomes) ?? notJudged('the recording ends while the starter turns')
}

const NO_START =
  'It turned and did not start. Fuel first: level, shut-off, priming, air in the supply. Then rail pressure while cranking, then crank and cam speed signals. Rest the starter two minutes between attempts.'

export const CRANKING_CHECKS: readonly CheckDefinition[] = [
  {
    id: 'crank-speed',
    title: 'Cranking speed',
    proves: 'Battery, cables, starter and engine turn together as they should.',
    needs: [[190]],
    enabling: 'An attempt longer than half a second, with speed sent while cranking.',
    computes: 'Median speed after the first half second. Below 0 °C the limit falls, to its frost figure at −18 °C.',
    limits: ['crank-speed.pass-from', 'crank-speed.pass-from-in-frost', 'crank-speed.caution-from'],
    otherwise: 'A current clamp on the starter cable: the ripple counts compressions.',
    advice: {
      pass: 'Nothing to do.',
      caution: 'Look at the battery in cranking first; then the voltage drop of both starter cables; then oil grade.',
      fail: 'Measure battery voltage and the voltage drop of both starter cables while cranking before suspecting starter or engine.',
    },
    cautions: ['before-cranking', 'crank-limit'],
    judge: judgeSpeed,
  },
  {
    id: 'crank-time',
    title: 'Cranking until it fires',
    proves: 'Fuel and heat were there when the starter turned.',
    needs: [[190, 1675, 3543]],
    enabling:
      'At least one attempt. A first start with empty fuel lines may take longer. Colder than −18 °C only the 30 s are judged.',
    computes: 'Seconds of cranking up to the firing, failed attempts included.',
    limits: ['crank-time.pass-to', 'crank-time.pass-to-in-frost', 'crank-time.caution-to', 'crank-time.never-above'],
    otherwise: 'A stopwatch.',
    advice: {
      pass: 'Nothing to do.',
      caution:
        'Look at preheating and cranking speed first, then at the fuel supply: priming, air, filter, rail pressure while cranking.',
      fail: 'Fuel supply first: priming, air, filter, rail pressure while cranking. Rest the starter two minutes between attempts.',
    },
    cautions: ['before-cranking', 'crank-limit', 'fuel-pressure'],
    judge: judgeTime,
  },
]
