/**
 * The order in which any part is looked at: fitted? look, unplug, measure, wiggle, and only then swap.
 * Never a new part first; never through insulation; never an ohm-meter on a controller. Source:
 * common practice.
 */
import type { Step } from '../model.js'
import type { ActiveFault } from './finding.js'
import { type Kind, type Ladder, METER, step, THIS_PROGRAM } from './knowledge/index.js'

const FITTED = step('any', null, 'Is the part fitted, and is it the one the calibration expects?')
const LOOK = step(
  'off',
  null,
  'Look along its wires and plug: chafed, hot, wet, oily, pulled tight after the repower?',
  'hot-parts',
)
const UNPLUG = step(
  'off',
  null,
  'Wait until the controller sleeps, then unplug it: pins bent, spread, pushed back, green?',
  'key-off-measuring',
)
const CONTINUITY = step(
  'off',
  METER,
  'Battery isolated, both ends unplugged: each wire has continuity, none touches ground or its neighbour.',
  'key-off-measuring',
  'battery',
)
const WIGGLE = step(
  'on',
  THIS_PROGRAM,
  'Plugged in again: move the harness piece by piece while recording, and look where the value jumps.',
  'key-off-measuring',
)
const SWAP = step(
  'any',
  null,
  'Only when wires, power and ground are proved: try a part known to be good, and record again.',
)
const CONFIRM = step('any', null, 'Confirm the reading with a second instrument before believing either.')
const MOVE = step(
  'off',
  null,
  'Does it move freely over its whole travel, as far as the manual allows?',
  'key-off-measuring',
)
const MANUAL = step(
  'any',
  null,
  'Look the code up in the engine maker’s manual: what it tests, when, and what it wants.',
)
const RECORD = step('on', THIS_PROGRAM, 'Record from key-on, with the fault there and with it gone, and compare.')
const NODE_POWER = step(
  'on',
  METER,
  'Power and ground of the node that is missed, at its plug, under load.',
  'key-off-measuring',
)
const PAIR = step(
  'off',
  METER,
  '60 Ω across the bus pair, every controller asleep; move the plugs while measuring.',
  'bus-measuring',
)

/** What to measure with the key on, by kind of part. */
const MEASURE: Readonly<Partial<Record<Kind, Step>>> = {
  thermistor: step(
    'on',
    METER,
    'Sensor unplugged: about 5 V between its two pins in the plug. The sensor itself: about 2 to 3 kΩ at 20 °C.',
    'key-off-measuring',
  ),
  'exhaust-probe': step('off', METER, 'Probe unplugged and cold: compare its resistance with the manual.', 'hot-parts'),
  'pressure-sensor': step(
    'on',
    METER,
    'Sensor unplugged: 4.75 to 5.25 V between supply and ground in the plug; plugged in, the signal 0.5 to 4.5 V.',
    'key-off-measuring',
  ),
  'position-sensor': step(
    'on',
    METER,
    'Unplugged: 4.75 to 5.25 V between supply and ground in the plug.',
    'key-off-measuring',
  ),
  pedal: step('on', METER, 'Unplugged: 4.75 to 5.25 V on each track’s supply.', 'key-off-measuring'),
  'air-mass': step(
    'on',
    METER,
    'Unplugged: its supply and ground in the plug; plugged in, the signal at rest.',
    'key-off-measuring',
  ),
  pickup: step(
    'off',
    METER,
    'Two-wire coil only, unplugged: roughly 0.5 to 1.5 kΩ. A Hall sensor never with the ohm-meter: look for its supply.',
    'key-off-measuring',
  ),
  switch: step('off', METER, 'Unplugged: does it open and close?', 'key-off-measuring'),
  driver: step(
    'off',
    METER,
    'Unplugged: resistance of the coil by the manual; then its feed with the key on.',
    'key-off-measuring',
  ),
  heater: step(
    'on',
    METER,
    'While it should be on: voltage along the way from battery to grid; a meter cannot tell 0.1 Ω from a short.',
    'intake-heater',
  ),
  injector: step(
    'off',
    METER,
    'Controller asleep, unplugged: resistance against its neighbours. High voltage while running.',
    'key-off-measuring',
  ),
  actuator: step(
    'on',
    METER,
    'Power and ground at its plug under load; then its command or bus pair.',
    'key-off-measuring',
  ),
  'smart-sensor': step('on', METER, 'Power and ground at its plug, key on; then its bus pair.', 'key-off-measuring'),
  supply: step('on', METER, 'Volt-drop under load: at most 0.5 V in the positive, 0.2 V in the ground.', 'battery'),
  'sensor-supply': step(
    'on',
    METER,
    'Supply at each sensor’s plug, unplugging them one at a time.',
    'key-off-measuring',
  ),
  controller: step('on', METER, 'Fuses, supplies and grounds of the controller under load.', 'key-off-measuring'),
}

/** Steps behind the part's own first ones. */
function ladderSteps(ladder: Ladder, kind: Kind): readonly Step[] {
  const measure = MEASURE[kind]
  const measured = measure === undefined ? [] : [measure]
  switch (ladder) {
    case 'wiring':
      return [LOOK, UNPLUG, ...measured, CONTINUITY, WIGGLE, SWAP]
    case 'reading':
      return [CONFIRM, LOOK, ...measured, RECORD, SWAP]
    case 'mechanism':
      return [MOVE, LOOK, UNPLUG, ...measured, SWAP]
    case 'network':
      return [NODE_POWER, PAIR, RECORD]
    case 'look-up':
      return [FITTED, MANUAL, RECORD]
  }
}

/** The steps for one fault by one of its generic causes: the part's own first, then the ladder, no step twice. */
export function stepsFor({ component, class: faultClass }: ActiveFault, ladder: Ladder): Step[] {
  const kind = component?.kind ?? 'unknown'
  const own = component?.first?.[faultClass] ?? component?.first?.any ?? []
  const fitted = ladder === 'wiring' && own.length === 0 ? [FITTED] : []
  const all = [...fitted, ...own, ...ladderSteps(ladder, kind)]
  return all.filter((one, index) => all.findIndex((other) => other.text === one.text) === index)
}
