/** Causes on the bus: the wire, one node, the one that complains, one address for two. */
import { FIRST_NODE_SPN, LAST_NODE_SPN, METER, step, THIS_PROGRAM } from '../knowledge/index.js'
import { crankVoltageLow } from '../patterns/cranking.js'
import {
  addressClaimedTwice,
  atSpeedOnly,
  busSilent,
  errorFrames,
  neverHeard,
  nodeRestarted,
  nothingMissing,
  oneNodeSilent,
  severalNodesReport,
  supplyGoodThen,
} from '../patterns/network.js'
import { againstIt, eitherWay, type FaultMatch, forIt, type Hypothesis, otherwise } from './hypothesis.js'

/** Faults that speak of messages or nodes. */
const NETWORK_FAULTS: readonly FaultMatch[] = [{ kinds: ['network'] }, { classes: ['late', 'invalid'] }]

const SIXTY_OHMS = step(
  'off',
  METER,
  'Across the bus pair, every controller asleep: 60 Ω. 120 Ω: one terminator or its contact lost. 40 Ω: one too many. Hold the meter on and move plugs, terminators and harness: the figure must not jump.',
  'bus-measuring',
)
const PAIR = step(
  'off',
  null,
  'Follow the pair: plugs locked, pins not pushed back, no stub that was added and left open, no chafed place.',
)

export const NETWORK_CAUSES: readonly Hypothesis[] = [
  {
    id: 'bus-wiring',
    title: 'The bus itself is interrupted: a terminator, a plug or the pair; not a module',
    roots: NETWORK_FAULTS,
    follows: [],
    checks: ['bus-silence', 'missing-messages', 'error-frames', 'late-messages', 'long-messages'],
    clues: [
      eitherWay('bus-silent', busSilent, { weight: 2, decisive: true, excludes: true }),
      forIt('error-frames', errorFrames, { weight: 1.5 }),
      forIt('several-nodes-report', severalNodesReport),
      otherwise('node-restarted', nodeRestarted),
      forIt('supply-good-then', supplyGoodThen, { absent: 'against' }),
      forIt('at-speed-only', atSpeedOnly, { weight: 0.5 }),
    ],
    steps: [
      SIXTY_OHMS,
      PAIR,
      step(
        'on',
        THIS_PROGRAM,
        'Record while moving the harness piece by piece, with error frames switched on in the recorder.',
      ),
      step('on', METER, 'Each wire of the pair to ground: about 2.5 V, one a little above, one a little below.'),
    ],
  },
  {
    id: 'node-silent',
    title: 'One node falls silent: its power, its ground or its branch of the bus',
    roots: NETWORK_FAULTS,
    follows: [],
    checks: ['missing-messages', 'controller-reset', 'expected-nodes'],
    clues: [
      eitherWay('one-node-silent', oneNodeSilent, { weight: 2, decisive: true, excludes: true }),
      againstIt('bus-silent', busSilent, { weight: 2 }),
      forIt('node-restarted', nodeRestarted),
      againstIt('crank-voltage-low', crankVoltageLow),
    ],
    steps: [
      step(
        'on',
        METER,
        'Power and ground at that node’s plug, under load, while wiggling: battery voltage within 0.5 V, ground within 0.2 V.',
        'key-off-measuring',
      ),
      step('off', null, 'Its fuse, its plug, its branch to the bus: loose, wet, pins pushed back?'),
      SIXTY_OHMS,
    ],
  },
  {
    id: 'node-absent',
    title: 'What is missed was never on this bus: not fitted, without power, or at another address',
    roots: NETWORK_FAULTS,
    follows: [],
    checks: ['expected-nodes'],
    clues: [
      eitherWay('never-heard', neverHeard, { weight: 2, decisive: true, excludes: true }),
      againstIt('bus-silent', busSilent),
      againstIt('crank-voltage-low', crankVoltageLow),
    ],
    steps: [
      step(
        'any',
        null,
        'Is that node fitted in this vehicle at all? If not, the node that misses it has to be told so, by its maker’s tool.',
      ),
      step('on', METER, 'If it is fitted: power, ground and bus pair at its plug, key on.', 'key-off-measuring'),
      step('on', THIS_PROGRAM, 'Record from key-on and look whether it claims an address, and which.'),
    ],
  },
  {
    id: 'receiver-side',
    title: 'The messages are on the bus: the complaining node’s own branch, or what it is set to expect',
    roots: NETWORK_FAULTS,
    follows: [],
    checks: [],
    clues: [
      eitherWay('nothing-missing', nothingMissing, { weight: 1, excludes: true }),
      againstIt('bus-silent', busSilent, { excludes: true }),
    ],
    steps: [
      step(
        'any',
        null,
        'Which message does it miss? Is it set for a node that is not fitted, or for another source address?',
      ),
      step('off', null, 'Its own plug and branch: loose, too long, without its pair twisted?'),
      SIXTY_OHMS,
    ],
  },
  {
    id: 'address-conflict',
    title: 'Two nodes use one source address',
    roots: [{ spns: range(FIRST_NODE_SPN, LAST_NODE_SPN) }],
    follows: [{ classes: ['late', 'invalid'] }],
    windows: (context) => [context.span],
    unreported: true,
    checks: ['address-conflict'],
    clues: [eitherWay('address-claimed-twice', addressClaimedTwice, { weight: 3, decisive: true, excludes: true })],
    steps: [
      step(
        'off',
        null,
        'Find out which two devices share the address: unplug one, key on, and see which messages from it stay.',
        'key-off-measuring',
      ),
      step('any', null, 'Give the newcomer, usually the gauge, an address of its own in its settings.'),
      step('on', THIS_PROGRAM, 'Record again from key-on: each address must be claimed by one NAME only.'),
    ],
  },
]

function range(from: number, to: number): number[] {
  return Array.from({ length: to - from + 1 }, (_, i) => from + i)
}
