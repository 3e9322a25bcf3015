/**
 * How each kind of part is wired, what its failures look like on the bus, what a meter should show,
 * and which causes each class of fault has, the likeliest first. Electrical figures are typical ones;
 * the maker's win.
 */
import type { FaultClass, Figure, Kind } from './component.js'
import { MEMORY, PRACTICE } from './component.js'
import type { GenericCauseId } from './generic-causes.js'

/** One kind of part. */
export interface KindKnowledge {
  readonly wiring: string
  /** What an unplugged and what a shorted one looks like. */
  readonly open: Figure
  readonly short: Figure
  /** What a meter should show. */
  readonly figures: readonly Figure[]
  readonly causes: Readonly<Partial<Record<FaultClass, readonly GenericCauseId[]>>>
}

const say = (text: string, source: string = PRACTICE): Figure => ({ text, source })

const FIVE_VOLTS = say('Between supply and sensor ground at the unplugged connector, key on: 4.75 to 5.25 V.')
const SIGNAL = say('Signal of a healthy sensor: 0.5 to 4.5 V.')

/** Classes every sensor has in common. */
const SENSOR = {
  high: ['really-high', 'reads-wrong', 'bad-contact'],
  low: ['really-low', 'reads-wrong', 'bad-contact'],
  implausible: ['bad-contact', 'reads-wrong', 'sensor-itself'],
  calibration: ['not-learned', 'reads-wrong'],
  invalid: ['sender-invalid', 'bad-contact'],
  late: ['message-missing'],
  unspecific: ['look-it-up', 'bad-contact'],
  'no-response': ['reads-wrong', 'bad-contact'],
  pulses: ['bad-contact', 'sensor-itself'],
  open: ['circuit-open', 'sensor-itself'],
  overcurrent: ['short-to-ground', 'sensor-itself'],
} as const satisfies KindKnowledge['causes']

/** Classes everything driven has in common. */
const DRIVEN = {
  open: ['coil-open', 'bad-contact'],
  'volts-high': ['short-to-supply', 'coil-short'],
  'volts-low': ['short-to-ground', 'coil-open'],
  overcurrent: ['coil-short', 'does-not-move'],
  'no-response': ['does-not-move', 'bad-contact'],
  implausible: ['bad-contact', 'does-not-move'],
  high: ['does-not-move', 'bad-contact'],
  low: ['does-not-move', 'bad-contact'],
  pulses: ['bad-contact', 'own-supply'],
  calibration: ['not-learned', 'does-not-move'],
  late: ['message-missing'],
  invalid: ['sender-invalid', 'own-supply'],
  unspecific: ['look-it-up', 'own-supply'],
} as const satisfies KindKnowledge['causes']

/** By kind. */
export const KINDS: Readonly<Record<Kind, KindKnowledge>> = {
  thermistor: {
    wiring: 'Two wires: signal and sensor ground. The controller pulls the signal up to 5 V; heat pulls it down.',
    open: say(
      'Unplugged or broken wire: the coldest reading, usually −40 °C, and FMI 3. Some controllers show a substitute.',
    ),
    short: say('Shorted: the hottest reading, and FMI 4.'),
    figures: [
      say('The unplugged sensor itself: about 2 to 3 kΩ at 20 °C, less as it warms.'),
      say('At the unplugged connector, key on: about 5 V between signal and sensor ground.'),
    ],
    causes: {
      ...SENSOR,
      'volts-high': ['circuit-open', 'short-to-supply', 'sensor-itself'],
      'volts-low': ['short-to-ground', 'sensor-itself'],
    },
  },
  'exhaust-probe': {
    wiring: 'Two wires: a platinum resistor or thermocouple, or a module of its own on the bus.',
    open: say('Unplugged: an end of the range, or "error".'),
    short: say('Shorted: the other end of the range.'),
    figures: [say('A platinum resistor probe: about 200 Ω at 0 °C, more as it warms.', MEMORY)],
    causes: {
      ...SENSOR,
      'volts-high': ['circuit-open', 'short-to-supply', 'sensor-itself'],
      'volts-low': ['short-to-ground', 'sensor-itself'],
    },
  },
  'pressure-sensor': {
    wiring: 'Three wires: 5 V supply, sensor ground, signal. Supply and ground are shared with other sensors.',
    open: say('Unplugged: one end of the range, or "error", or a substitute; FMI 3 or 4 by how the input is pulled.'),
    short: say('Signal to ground or lost supply: FMI 4. Signal to a supply or lost ground: FMI 3.'),
    figures: [FIVE_VOLTS, SIGNAL],
    causes: {
      ...SENSOR,
      'volts-high': ['circuit-high', 'sensor-itself'],
      'volts-low': ['circuit-low', 'short-to-ground', 'sensor-itself'],
    },
  },
  'position-sensor': {
    wiring: 'Three wires: 5 V supply, sensor ground, signal; often in one plug with the motor it belongs to.',
    open: say('Unplugged: one end of the range, or "error".'),
    short: say('Signal to ground or lost supply: FMI 4. Signal to a supply or lost ground: FMI 3.'),
    figures: [FIVE_VOLTS, SIGNAL],
    causes: {
      ...SENSOR,
      'volts-high': ['circuit-high', 'sensor-itself'],
      'volts-low': ['circuit-low', 'short-to-ground', 'sensor-itself'],
      'no-response': ['does-not-move', 'reads-wrong', 'bad-contact'],
      high: ['does-not-move', 'reads-wrong'],
      low: ['does-not-move', 'reads-wrong'],
    },
  },
  pedal: {
    wiring: 'Two tracks, each with its own 5 V supply, ground and signal, and often an idle switch.',
    open: say('Unplugged: both tracks at an end, idle only.'),
    short: say('One track shorted: that track at an end, the tracks disagree.'),
    figures: [
      say('Typical tracks: 0.5 to 4.5 V; the second often half of the first.', 'Summary of SAE J1843'),
      FIVE_VOLTS,
    ],
    causes: {
      ...SENSOR,
      'volts-high': ['circuit-high', 'sensor-itself'],
      'volts-low': ['circuit-low', 'short-to-ground', 'sensor-itself'],
    },
  },
  'air-mass': {
    wiring: 'Power, ground, signal of 0 to 5 V or of a frequency; often with the intake air temperature in one plug.',
    open: say('Unplugged: zero or "error".'),
    short: say('Signal to ground or lost power: FMI 4. Signal to a supply or lost ground: FMI 3.'),
    figures: [
      say('Power at the unplugged connector, key on: 12 V or 5 V by type.'),
      say('Signal in still air: about 1 V, or the type’s resting frequency.'),
    ],
    causes: {
      ...SENSOR,
      'volts-high': ['circuit-high', 'sensor-itself'],
      'volts-low': ['circuit-low', 'short-to-ground', 'sensor-itself'],
      high: ['reads-wrong', 'really-high'],
      low: ['reads-wrong', 'really-low'],
    },
  },
  pickup: {
    wiring: 'A coil beside a toothed wheel (two wires), or a Hall sensor (three wires), in a shielded cable.',
    open: say('Unplugged: no speed; many engines start on the other speed sensor, late.'),
    short: say('Shorted: no speed.'),
    figures: [
      say('A two-wire coil, unplugged: roughly 0.5 to 1.5 kΩ.'),
      say('A Hall sensor: never with the ohm-meter; look for its supply and for pulses.'),
    ],
    causes: {
      ...SENSOR,
      'volts-high': ['circuit-open', 'short-to-supply'],
      'volts-low': ['circuit-low', 'short-to-ground'],
      implausible: ['weak-pulses', 'bad-contact', 'sensor-itself'],
      pulses: ['weak-pulses', 'bad-contact', 'sensor-itself'],
      low: ['weak-pulses', 'bad-contact'],
      high: ['really-high', 'weak-pulses'],
    },
  },
  switch: {
    wiring: 'One or two wires, open or closed; some have a resistor across them so that a broken wire is noticed.',
    open: say('Unplugged: the state of the open contact for ever.'),
    short: say('Shorted: the state of the closed contact for ever.'),
    figures: [say('Across the unplugged switch: near 0 Ω closed, no connection open.')],
    causes: {
      ...SENSOR,
      high: ['state-true', 'reads-wrong', 'bad-contact'],
      low: ['state-true', 'reads-wrong', 'bad-contact'],
      unspecific: ['state-true', 'look-it-up'],
      'volts-high': ['circuit-open', 'short-to-supply'],
      'volts-low': ['short-to-ground', 'sensor-itself'],
    },
  },
  driver: {
    wiring: 'A coil the controller switches or feeds with pulses: relay, solenoid or valve; two wires.',
    open: say('Unplugged or broken: FMI 5, and what it should move stays.'),
    short: say('Shorted: FMI 6 or 3; the controller switches the output off.'),
    figures: [
      say('A relay coil, unplugged: 50 to 120 Ω for 12 V.'),
      say('A solenoid or control valve, unplugged: a few Ω to 30 Ω, see the manual.'),
    ],
    causes: DRIVEN,
  },
  heater: {
    wiring: 'A solenoid switches more than 100 A from the battery through a fusible link to the grid in the intake.',
    open: say('Link, solenoid or grid open: the lamp burns and the voltage does not sag.'),
    short: say('Contact welded: the voltage never recovers, lamp or no lamp.'),
    figures: [say('The grid: about 0.1 Ω, which a multimeter cannot tell from a short: use volt-drop or a clamp.')],
    causes: DRIVEN,
  },
  injector: {
    wiring: 'Two wires to each injector, in pairs or banks on one driver; 50 to 160 V while the engine runs.',
    open: say('Unplugged or broken: that cylinder is dead, uneven running.'),
    short: say('Shorted: often the whole bank on that driver is dead.'),
    figures: [say('A solenoid injector, unplugged, key off: below 2 Ω, all cylinders alike.')],
    causes: DRIVEN,
  },
  actuator: {
    wiring:
      'A motor with a position sensor, and often electronics of its own, on power, ground and the bus or a pulse signal.',
    open: say('Unplugged: position "error" or at rest, commands without effect.'),
    short: say('Shorted or jammed: FMI 6, fuse.'),
    figures: [say('Power and ground at its plug under load: within 0.5 V of the battery.')],
    causes: { ...DRIVEN, implausible: ['does-not-move', 'bad-contact'] },
  },
  'smart-sensor': {
    wiring:
      'A sensor with electronics of its own: battery power, ground and the bus; silent until it is warm and told to start.',
    open: say('Unplugged or unpowered: its messages stop or never come.'),
    short: say('Its fuse opens.'),
    figures: [say('Power at its plug, key on: battery voltage within 0.5 V.')],
    causes: {
      ...SENSOR,
      'volts-high': ['own-supply', 'sensor-itself'],
      'volts-low': ['own-supply', 'sensor-itself'],
      unspecific: ['own-supply', 'look-it-up'],
      late: ['own-supply', 'message-missing'],
    },
  },
  supply: {
    wiring: 'Battery, main fuse, relay, key switch and grounds as the controller measures them at its own pins.',
    open: say('Reads low or nothing while the battery is good.'),
    short: say('Fuse open.'),
    figures: [
      say(
        'While cranking, between battery and controller: at most 0.5 V lost in the positive, 0.2 V in the ground.',
        'Workshop article on voltage drop',
      ),
      say('Charging: 13.5 to 14.8 V.', 'Alternator voltage testing tutorial, rounded'),
    ],
    causes: {
      ...SENSOR,
      high: ['supply-wrong'],
      low: ['supply-wrong', 'bad-contact'],
      'volts-high': ['supply-wrong'],
      'volts-low': ['supply-wrong', 'bad-contact'],
      implausible: ['bad-contact', 'supply-wrong'],
      open: ['bad-contact'],
    },
  },
  'sensor-supply': {
    wiring: 'A 5 V output of the controller that feeds several sensors.',
    open: say('A broken supply wire: the sensors behind the break read nothing, the controller’s own voltage is good.'),
    short: say('One chafed wire or one bad sensor pulls the rail down for all of them.'),
    figures: [FIVE_VOLTS],
    causes: {
      ...SENSOR,
      'volts-low': ['short-to-ground', 'controller-inside'],
      'volts-high': ['short-to-supply', 'controller-inside'],
      low: ['short-to-ground', 'controller-inside'],
      high: ['short-to-supply', 'controller-inside'],
      implausible: ['short-to-ground', 'bad-contact', 'controller-inside'],
    },
  },
  network: {
    wiring: 'A twisted pair from end to end with 120 Ω at both ends and short branches to the nodes.',
    open: say('One terminator or one wire lost: errors, gaps, silence.'),
    short: say('The wires together or to ground: silence of all.'),
    figures: [
      say(
        'Key off, across the pair: 60 Ω. 120 Ω: one terminator lost. 40 Ω: one too many.',
        'Lesson on the CAN physical layer and termination',
      ),
    ],
    causes: {
      late: ['message-missing'],
      invalid: ['sender-invalid'],
      implausible: ['message-missing'],
      'volts-high': ['bad-contact'],
      'volts-low': ['bad-contact'],
      open: ['bad-contact'],
      overcurrent: ['bad-contact'],
      high: ['look-it-up'],
      low: ['look-it-up'],
      'no-response': ['message-missing'],
      pulses: ['bad-contact'],
      calibration: ['look-it-up'],
      unspecific: ['look-it-up'],
    },
  },
  controller: {
    wiring: 'The controller itself: its supplies, grounds, memory and temperature.',
    open: say('Silent.'),
    short: say('Silent, or its fuse opens.'),
    figures: [
      say(
        'At its plug, under load: battery voltage within 0.5 V, ground within 0.2 V.',
        'Workshop article on voltage drop',
      ),
    ],
    causes: everyClass('controller-inside', 'look-it-up'),
  },
  estimate: {
    wiring: 'A figure the controller works out; there is no wire of its own.',
    open: say('Not applicable.'),
    short: say('Not applicable.'),
    figures: [],
    causes: everyClass('look-it-up'),
  },
  unknown: {
    wiring: 'Not known here.',
    open: say('Not known here.'),
    short: say('Not known here.'),
    figures: [],
    causes: {
      ...everyClass('look-it-up'),
      'volts-high': ['circuit-high', 'look-it-up'],
      'volts-low': ['circuit-low', 'look-it-up'],
      open: ['circuit-open', 'look-it-up'],
      overcurrent: ['short-to-ground', 'look-it-up'],
      late: ['message-missing'],
      invalid: ['sender-invalid', 'look-it-up'],
      'no-response': ['does-not-move', 'look-it-up'],
      implausible: ['bad-contact', 'look-it-up'],
    },
  },
}

/** The same causes for every class. */
function everyClass(...causes: readonly GenericCauseId[]): KindKnowledge['causes'] {
  const classes: readonly FaultClass[] = [
    'high',
    'low',
    'implausible',
    'volts-high',
    'volts-low',
    'open',
    'overcurrent',
    'no-response',
    'pulses',
    'late',
    'invalid',
    'calibration',
    'unspecific',
  ]
  return Object.fromEntries(classes.map((faultClass) => [faultClass, causes]))
}
