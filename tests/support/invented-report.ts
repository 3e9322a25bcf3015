/**
 * Reports made up by hand, for tests of how they are shown: a start that went wrong, and one of which
 * nothing bad can be said. Everything in them is invented.
 */
import type {
  CheckResult,
  EngineReport,
  Evidence,
  FaultGroup,
  Finding,
  Limit,
  Phase,
  PhaseKind,
  Report,
  SignalRef,
  Step,
} from '@firstcrank/analysis'
import type { Episode } from '@firstcrank/decoder'

/** The first frame: 2025-06-15 12:26:40 UTC. */
export const START = 1_749_990_400_000_000
export const at = (seconds: number): number => START + seconds * 1_000_000

const OIL: SignalRef = { channel: 'can0', sa: 0, pgn: 65263, spn: 100 }
const COOLANT: SignalRef = { channel: 'can0', sa: 0, pgn: 65262, spn: 110 }

const seen = (text: string, from: number, to: number, signals: readonly SignalRef[] = [OIL]): Evidence => ({
  text,
  from: at(from),
  to: at(to),
  signals,
})

/** A limit that is ours unless an owner is given. */
export const limit = (id: string, value: number, unit: Limit['unit'], more: Partial<Limit> = {}): Limit => ({
  id,
  value,
  unit,
  source: 'common practice',
  owner: 'default',
  ...more,
})

/** A check that passed, unless told otherwise. */
export function check(id: string, more: Partial<CheckResult> = {}): CheckResult {
  return {
    id,
    title: id.replaceAll('-', ' '),
    proves: 'Something.',
    verdict: 'pass',
    measured: null,
    limits: [],
    evidence: [],
    finding: 'As it should be.',
    advice: 'Nothing to do.',
    cautions: [],
    ...more,
  }
}

export const phase = (kind: PhaseKind, from: number, to: number, more: Partial<Phase> = {}): Phase => ({
  kind,
  basis: 'inferred',
  from: at(from),
  to: at(to),
  resolution: 20_000,
  cycle: 1,
  why: 'Made up.',
  ...more,
})

export const step = (text: string, more: Partial<Step> = {}): Step => ({
  text,
  key: 'off',
  tool: null,
  cautions: [],
  ...more,
})

const lamp = { state: 'off', flash: 'none' } as const
const lamps = { malfunction: lamp, amberWarning: lamp, protect: lamp }

/** An active fault of the engine. */
export function episode(spn: number, fmi: number, more: Partial<Episode> = {}): Episode {
  return {
    channel: 0,
    sa: 0,
    source: 'dm1',
    state: 'active',
    spn,
    fmi,
    ambiguous: false,
    readings: [],
    firstSeen: at(13),
    lastSeen: at(18),
    clearedAt: null,
    endedBy: 'recording-ended',
    unseen: 0,
    occurrenceCounts: [{ time: at(13), count: 1 }],
    lamps: [{ time: at(13), lamps: { ...lamps, redStop: { state: 'off', flash: 'none' } } }],
    ...more,
  } as Episode
}

export const redLamp: Episode['lamps'] = [
  { time: at(13), lamps: { ...lamps, redStop: { state: 'on', flash: 'none' } } },
]

/** A group of one fault with one cause. */
export function group(spn: number, fmi: number, more: Partial<FaultGroup> = {}): FaultGroup {
  return {
    from: at(13),
    to: at(18),
    faults: [
      {
        episodes: [episode(spn, fmi)],
        channel: 'can0',
        sa: 0,
        spn,
        fmi,
        name: 'Engine oil pressure',
        meaning: 'The value is dangerously low.',
        about: 'Pressure in the main gallery.',
        onset: { time: at(13), phase: 'idle', volts: null },
        supports: [{ ...seen('Oil pressure stays at 8 kPa for 10.0 s.', 8, 18), pattern: 'value-low' }],
        contradicts: [],
        follows: null,
      },
    ],
    checks: [],
    causes: [
      {
        id: 'oil-pressure-missing',
        title: 'No oil pressure',
        confidence: 'probable',
        supported: { facts: 2, of: 3 },
        supports: [{ ...seen('Oil pressure 8 kPa while the engine turns.', 8, 18), pattern: 'value-low' }],
        contradicts: [{ ...seen('Coolant at 82 °C, 5 °C above the oil.', 9, 9, [COOLANT]), pattern: 'sibling' }],
        steps: [
          step('Stop the engine. Measure with a mechanical gauge.', {
            tool: 'mechanical oil gauge',
            cautions: ['no-oil-pressure'],
          }),
          step('Follow the hoses of the remote filter.'),
        ],
      },
    ],
    ...more,
  }
}

/** An engine with its phases and checks. */
export function engine(checks: readonly CheckResult[], phases: readonly Phase[]): EngineReport {
  return { channel: 'can0', sa: 0, title: 'Engine 1 (address 0)', phases, checks, figures: [] }
}

/** A text that would do something if it were taken for markup. */
export const HOSTILE = '<img src=x onerror=alert(1)> & "run" `7` | *bold* [a](b)'

const CHECKS: readonly CheckResult[] = [
  check('rest-voltage', {
    title: 'Battery at rest',
    measured: { value: 12.65, unit: 'V', uncertainty: 0.025 },
    limits: [limit('rest-voltage.pass-from', 12.5, 'V'), limit('rest-voltage.caution-from', 12.2, 'V')],
  }),
  check('oil-pressure-rise', {
    title: 'Oil pressure comes',
    verdict: 'fail',
    measured: { value: 8, unit: 'kPa', uncertainty: 4 },
    limits: [
      limit('oil-pressure-hot-idle.pass-from', 100, 'kPa', {
        owner: { profile: 'My engine' },
        source: 'Manual, page 7',
      }),
    ],
    finding: 'No 70 kPa within 10 s after it fired at 20 °C.',
    advice: 'Stop. Mechanical gauge first.',
    evidence: [seen('8 kPa at most.', 8, 18)],
    cautions: ['no-oil-pressure'],
  }),
  check('thermostat', {
    title: 'Thermostat',
    verdict: 'not-judged',
    finding: 'Not judged: the engine was never warm.',
    advice: 'Check with: an infrared thermometer.',
  }),
]

const PHASES: readonly Phase[] = [
  phase('key-on', 0, 6),
  phase('cranking', 6, 8, { attempt: { number: 1, started: true }, basis: 'reported' }),
  phase('run-up', 8, 9),
  phase('idle', 9, 18),
  phase('shutdown', 18, 19),
]

const ENGINE: EngineReport = {
  ...engine(CHECKS, PHASES),
  figures: [
    {
      id: 'start',
      title: 'The first start',
      from: at(0),
      to: at(20),
      phases: PHASES,
      lanes: [{ sa: 0, spn: 100, fmi: 1, name: HOSTILE, spans: [{ from: at(13), to: at(18) }] }],
      plots: [
        {
          title: 'Oil pressure',
          unit: 'kPa',
          traces: [
            {
              name: 'oil pressure',
              signal: OIL,
              hold: 1_500_000,
              least: [0, 0, 0, null, null, null, null, 8, 8, 0],
              greatest: [0, 0, 4, null, null, null, null, 8, 12, 8],
            },
          ],
          limits: [
            {
              from: at(9),
              to: at(18),
              limit: limit('oil-pressure-hot-idle.pass-from', 100, 'kPa'),
              check: 'oil-pressure-rise',
            },
          ],
        },
      ],
      missing: ['boost (SPN 102): not on this bus'],
    },
  ],
}

const FINDING: Finding = {
  id: 'oil-pressure-missing',
  kind: 'cause',
  urgency: 'stop',
  title: 'No oil pressure',
  confidence: 'probable',
  text: 'Probable root: 2 of 3 facts support it, 1 speak against it.',
  sa: 0,
  span: { from: at(13), to: at(18) },
  evidence: [seen('Oil pressure 8 kPa while the engine turns.', 8, 18)],
  against: group(100, 1).causes[0].contradicts,
  steps: group(100, 1).causes[0].steps,
  cautions: ['no-oil-pressure'],
  faults: [{ sa: 0, spn: 100, fmi: 1 }],
  checks: ['oil-pressure-rise'],
}

/** A start without oil pressure. */
export const INVENTED: Report = {
  schema: 'firstcrank.report',
  version: 1,
  recording: {
    name: HOSTILE,
    dated: true,
    from: START,
    to: at(20),
    channels: ['can0'],
    frames: 12_345,
    malformed: 2,
    damage: null,
    nodes: [{ channel: 'can0', sa: 0, title: 'Engine 1 (address 0)', frames: 12_345 }],
  },
  profile: { title: 'My engine' },
  conclusion: {
    level: 'fail',
    verdict: 'Stop. Do not run the engine: no oil pressure. 1 check failed; 3 of 5 checks could be judged.',
    headline: 'Stop. Do not run the engine: no oil pressure.',
    basis: '1 check failed; 3 of 5 checks could be judged.',
    counts: { pass: 2, caution: 0, fail: 1, 'not-judged': 2 },
    faults: 1,
    answers: [
      {
        id: 'start',
        question: 'Was the first start good?',
        answer: 'No: it started after 2.0 s of cranking, with 1 fault.',
      },
      { id: 'wrong', question: 'What is wrong?', answer: 'No oil pressure.' },
      { id: 'first', question: 'What do I check first?', answer: 'Stop the engine.' },
      { id: 'open', question: 'What could not be judged?', answer: '2 of 5 checks.' },
    ],
  },
  findings: [FINDING],
  next: FINDING.steps.map((one) => ({ ...one, finding: FINDING.id })),
  engines: [ENGINE],
  bus: [
    check('bus-load', {
      title: 'Room on the bus',
      measured: { value: 14.2, unit: '%', uncertainty: null },
      limits: [limit('bus-load.pass-below', 40, '%')],
    }),
    check('error-frames', {
      title: 'No error frames',
      verdict: 'not-judged',
      finding: 'Not recorded: none is here.',
      advice: 'Record them.',
    }),
  ],
  faults: [group(100, 1)],
  gauge: [],
  manual: [
    {
      id: 'oil-level',
      stage: 'before',
      text: 'Oil filled.',
      tool: 'dipstick',
      cautions: [],
      because: ['oil-pressure-rise'],
    },
    { id: 'torque', stage: 'before', text: 'Mounts tightened.', tool: 'torque wrench', cautions: [], because: [] },
    {
      id: 'oil-gauge',
      stage: 'running',
      text: 'A gauge shows the same.',
      tool: 'mechanical oil gauge',
      cautions: ['no-oil-pressure'],
      because: [],
    },
  ],
  cautions: [
    {
      id: 'no-oil-pressure',
      level: 'stop',
      text: 'No oil pressure ten seconds after firing: stop the engine.',
      source: 'common practice',
    },
    { id: 'hot-parts', level: 'warning', text: 'Manifold and coolant are hot.', source: 'common practice' },
  ],
  limits: [
    limit('oil-pressure-hot-idle.pass-from', 100, 'kPa', { owner: { profile: 'My engine' }, source: 'Manual, page 7' }),
    limit('rest-voltage.pass-from', 12.5, 'V'),
    limit('cold-soak-spread.pass-to', 5, '°C', { difference: true }),
  ],
}
