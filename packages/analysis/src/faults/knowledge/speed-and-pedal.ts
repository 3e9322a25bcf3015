/** Crankshaft, camshaft and road speed; accelerator pedal and switches of the driver. */
import { type Component, METER, PRACTICE, step, THIS_PROGRAM } from './component.js'

const GAP = step('off', 'feeler gauge', 'Air gap, tight mounting, metal dust on the tip, damaged or wrong tone wheel.')
const PLUG = step(
  'off',
  null,
  'Plug and shield of the sensor cable: not beside starter or injector cables, shield grounded at one end only.',
)
const TRACKS = step(
  'on',
  METER,
  'Each track at rest and fully down, at the plug with it connected, probing from behind as the plug allows: smooth, without holes. Typical 0.5 to 4.5 V, the second often half.',
  'key-off-measuring',
)
const SWEEP = step(
  'on',
  THIS_PROGRAM,
  'Press the pedal down slowly over ten seconds, three times, while recording. A hole or a step shows the worn place.',
)

export const SPEED_AND_PEDAL: readonly Component[] = [
  {
    spns: [190, 4201],
    part: 'engine speed signal',
    kind: 'pickup',
    about: 'The engine speed as the controller works it out from crankshaft and camshaft sensor.',
    first: {
      high: [
        step(
          'off',
          null,
          'Overspeed: find out why before the next start: driven by the vehicle downhill, or oil and vapour in the intake.',
          'runaway',
        ),
      ],
      any: [GAP, PLUG],
    },
  },
  {
    spns: [636, 4202],
    part: 'crankshaft position sensor',
    kind: 'pickup',
    about: 'The sensor at the crankshaft’s tone wheel: speed and the moment of injection come from it.',
    first: { any: [GAP, PLUG] },
  },
  {
    spns: [723, 4203],
    part: 'camshaft position sensor',
    kind: 'pickup',
    about: 'The second speed sensor, at the camshaft: it tells which cylinder is next.',
    first: {
      any: [GAP, PLUG, step('off', null, 'After work on the timing: are camshaft and crankshaft wheel in step?')],
    },
  },
  {
    spns: [637],
    part: 'timing sensor',
    kind: 'pickup',
    about: 'Crankshaft and camshaft signal compared: wheel against wheel.',
    first: { any: [step('off', null, 'Timing marks and both tone wheels, before any sensor.'), GAP] },
  },
  {
    spns: [91, 974],
    part: 'accelerator pedal, first track',
    kind: 'pedal',
    about: 'The first of the two tracks by which the controller knows the pedal.',
    siblings: [{ spns: [29], when: 'always' }],
    first: {
      implausible: [SWEEP, TRACKS],
      calibration: [
        step(
          'on',
          null,
          'Relearn rest and full travel as the manual says. Is this pedal the one the calibration expects?',
        ),
      ],
      any: [step('off', null, 'Floor mat, bracket and stop: the pedal returns and reaches its stop.'), TRACKS],
    },
  },
  {
    spns: [29, 2623, 28],
    part: 'accelerator pedal, second track',
    kind: 'pedal',
    about: 'The second track, with a supply of its own: both must agree.',
    siblings: [{ spns: [91], when: 'always' }],
    first: { implausible: [SWEEP, TRACKS], any: [TRACKS] },
  },
  {
    spns: [558, 2970],
    part: 'pedal idle switch',
    kind: 'switch',
    about: 'A switch that closes or opens when the pedal is at rest: it must change once, just off the rest.',
    first: {
      any: [
        SWEEP,
        step('off', null, 'Is a pedal with this switch fitted? Many have none; then the calibration is wrong.'),
      ],
    },
  },
  {
    spns: [84],
    part: 'road speed signal',
    kind: 'pickup',
    about: 'The vehicle’s speed, from a sensor at the gearbox or over the bus from brakes or tachograph.',
    first: {
      any: [
        step(
          'any',
          null,
          'Who sends it after the repower: sensor, gearbox, brakes? Wheel size and pulses per kilometre set?',
        ),
        GAP,
      ],
    },
  },
  {
    spns: [597],
    part: 'brake switch',
    kind: 'switch',
    about: 'Brake pedal pressed or not, by a switch or over the bus.',
    first: { any: [step('on', THIS_PROGRAM, 'Press the brake three times while recording: does the state follow?')] },
  },
  {
    spns: [598],
    part: 'clutch switch',
    kind: 'switch',
    about: 'Clutch pedal pressed or not.',
    first: { any: [step('on', THIS_PROGRAM, 'Press the clutch three times while recording: does the state follow?')] },
  },
  {
    spns: [161, 191],
    part: 'gearbox speed sensor',
    kind: 'pickup',
    about: 'Input or output shaft speed of the gearbox, measured by its controller.',
    high: { value: 8000, unit: 'rpm', source: PRACTICE },
    first: { any: [GAP, PLUG] },
  },
]
