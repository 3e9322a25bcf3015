/**
 * One run for each verdict of each check, and the runs they are made from. Usual is: wait-to-start lamp
 * from 2 to 8 s, starter from 12 to 14 s, idle to 120 s, everything at 20 °C; see `made-run.ts`.
 */
import type { Verdict } from '../../packages/analysis/src/model.js'
import { type Profile, parseProfile } from '../../packages/analysis/src/profile.js'
import type { MadeRun, Signals, ValueAt } from '../support/made-run.js'

export const profileOf = (more: object = {}): Profile =>
  parseProfile(JSON.stringify({ version: 1, title: 'Test engine', ...more }))
const MAP = {
  speeds: [1000, 3000],
  loads: [0, 100],
  boost: [
    [90, 90],
    [90, 90],
  ],
  source: 'test',
}
/** 98 kPa is the standard atmosphere at 280 m. */
export const ENGINE = profileOf({ engine: { displacement: 3, idleSpeed: 750 }, site: { altitude: 280 }, boostMap: MAP })
const UNKNOWN = profileOf()

/** Speed 20 times and pedal 10 times a second: enough for every check, and quick to write. */
export const periods = { 61444: 50, 61443: 100, 61450: 200, 64916: 200, 64981: 200, 65266: 200, 65243: 200, 64765: 200 }

const noLamp = { lamp: [900, 900] } as const
const keyOnOnly = { instants: { ...noLamp, crank: 900, fire: 900, keyOff: 900, end: 30 } } as const
const runningAlready = { instants: { ...noLamp, crank: -9, fire: -5, end: 60 } } as const
export const hot = { celsius: 86, instants: { ...noLamp, keyOff: 215, end: 217 } } as const
const driven = { instants: { drive: [60, 100] } } as const
const hotDriven = { celsius: 86, instants: { ...noLamp, drive: [90, 130], keyOff: 135, end: 137 } } as const
export const longDrive = { instants: { drive: [60, 780], keyOff: 785, end: 787 } } as const
export const slowly = { ...periods, 61444: 200, 61443: 200 }
const charged = { instants: { drive: [110, 160], keyOff: 165, end: 167 } } as const

const volts =
  (rest: number, crank: number, run: number): ValueAt =>
  (t) =>
    t < 12 ? rest : t < 14 ? crank : run
export const noisy =
  (middle: number, amplitude: number): ValueAt =>
  (t) =>
    t < 12 ? 0 : t < 14 ? 200 : middle + (Math.round(t * 20) % 2 === 0 ? amplitude : -amplitude)
/** Pedal down and up between 3 and 11 s, between two positions. */
const sweep =
  (low: number, high: number): ValueAt =>
  (t) =>
    t < 3 || t > 11 ? low : low + (high - low) * Math.min(1, (4 - Math.abs(t - 7)) / 3)
const swept = (low: number, high: number, more: Signals = {}): MadeRun => ({
  signals: { 91: sweep(low, high), 558: (t) => ((sweep(low, high)(t) as number) < 5 ? 1 : 0), ...more },
})
const slope =
  (perMinute: number, start = 20): ValueAt =>
  (t) =>
    start + (perMinute * t) / 60

type Case = readonly [id: string, verdict: Verdict, what: string, run: MadeRun, profile?: Profile]

export const CASES: readonly Case[] = [
  ['rest-voltage', 'pass', '12.7 V', {}],
  ['rest-voltage', 'caution', '12.3 V', { signals: { 168: volts(12.3, 10.4, 14.2) } }],
  [
    'rest-voltage',
    'fail',
    '12.0 V for six messages',
    { instants: { lamp: [7, 10] }, signals: { 168: volts(12, 10.4, 14.2) } },
  ],
  ['rest-voltage', 'caution', '12.0 V, but two messages only', { signals: { 168: volts(12, 10.4, 14.2) } }],
  ['rest-voltage', 'not-judged', 'a warm engine', { signals: { 110: 80, 175: 78, 174: 45 } }],
  ['rest-voltage', 'not-judged', 'two hours of rest by the profile', {}, profileOf({ run: { restedHours: 2 } })],
  ['rest-voltage', 'not-judged', 'running when the recording begins', runningAlready],

  ['crank-voltage', 'pass', '10.4 V at 20 °C', {}],
  ['crank-voltage', 'caution', '9.2 V at 20 °C', { signals: { 168: volts(12.6, 9.2, 14.2) } }],
  ['crank-voltage', 'fail', '8.5 V at 20 °C', { signals: { 168: volts(12.6, 8.5, 14.2) } }],
  ['crank-voltage', 'pass', '9.2 V at 0 °C', { celsius: 0, signals: { 168: volts(12.6, 9.2, 14.2) } }],
  ['crank-voltage', 'not-judged', '7.9 V at −25 °C', { celsius: -25, signals: { 168: volts(12.6, 7.9, 14.2) } }],
  ['crank-voltage', 'not-judged', 'half a second of cranking', { instants: { crank: 13.5 } }],
  ['crank-voltage', 'not-judged', 'no voltage on the bus', { without: [65271] }],
  [
    'crank-voltage',
    'fail',
    'the controller claims its address anew',
    {
      silent: [[12.6, 13]],
      others: [0.06, 13].map((at) => ({ at, pgn: 60928, da: 255, data: '01 00 60 00 00 00 00 00' })),
    },
  ],

  ['charging-voltage', 'pass', '14.2 V at 2,000 rpm', charged],
  ['charging-voltage', 'caution', '13.2 V', { ...charged, signals: { 168: volts(12.6, 10.4, 13.2) } }],
  ['charging-voltage', 'caution', '15 V', { ...charged, signals: { 168: volts(12.6, 10.4, 15) } }],
  ['charging-voltage', 'fail', '12.5 V', { ...charged, signals: { 168: volts(12.6, 10.4, 12.5) } }],
  ['charging-voltage', 'fail', '15.5 V', { ...charged, signals: { 168: volts(12.6, 10.4, 15.5) } }],
  ['charging-voltage', 'pass', '28 V in a 24 V system', { ...charged, signals: { 168: volts(25.4, 20.4, 28) } }],
  ['charging-voltage', 'not-judged', '12.9 V at idle only', { ...hot, signals: { 168: volts(12.6, 10.4, 12.9) } }],
  ['charging-voltage', 'not-judged', 'a short run', {}],
  ['charging-voltage', 'not-judged', 'no alternator', charged, profileOf({ fitted: { alternator: false } })],

  ['heater-draw', 'pass', '0.9 V', {}],
  ['heater-draw', 'caution', 'no sag', { signals: { 168: volts(12.6, 10.4, 14.2) } }],
  [
    'heater-draw',
    'fail',
    'no sag, and a heater by the profile',
    { signals: { 168: volts(12.6, 10.4, 14.2) } },
    profileOf({ fitted: { intakeHeater: true } }),
  ],
  ['heater-draw', 'not-judged', 'no lamp', { instants: noLamp }],
  ['heater-draw', 'not-judged', 'the battery was down before', { signals: { 168: volts(11.8, 10.4, 14.2) } }],

  ['heater-release', 'pass', 'the sag goes with the lamp', {}],
  [
    'heater-release',
    'fail',
    'the sag stays',
    { signals: { 168: (t) => (t < 2 ? 12.7 : t < 12 ? 11.8 : t < 14 ? 10 : 13.6) } },
  ],
  [
    'heater-release',
    'caution',
    'one message only after the lamp',
    {
      instants: { crank: 9.3, fire: 11.3 },
      signals: { 168: (t) => (t < 2 ? 12.7 : t < 9.3 ? 11.8 : t < 11.3 ? 10 : 14.2) },
    },
  ],
  ['heater-release', 'not-judged', 'no lamp', { instants: noLamp }],

  ['crank-speed', 'pass', '200 rpm', {}],
  ['crank-speed', 'caution', '120 rpm', { signals: { 190: (t) => (t < 12 ? 0 : t < 14 ? 120 : 750) } }],
  ['crank-speed', 'fail', '80 rpm', { signals: { 190: (t) => (t < 12 ? 0 : t < 14 ? 80 : 750) } }],
  [
    'crank-speed',
    'pass',
    '120 rpm at −15 °C',
    { celsius: -15, signals: { 190: (t) => (t < 12 ? 0 : t < 14 ? 120 : 750) } },
  ],
  [
    'crank-speed',
    'not-judged',
    '80 rpm at −28 °C',
    { celsius: -28, signals: { 190: (t) => (t < 12 ? 0 : t < 14 ? 80 : 750) } },
  ],
  ['crank-speed', 'not-judged', 'nobody cranked', keyOnOnly],

  ['crank-time', 'pass', '2 s', {}],
  ['crank-time', 'caution', '8 s', { instants: { fire: 20 } }],
  ['crank-time', 'fail', '18 s', { instants: { fire: 30 } }],
  ['crank-time', 'fail', 'no start', { instants: { fire: 22, keyOff: 22, end: 24 } }],
  [
    'crank-time',
    'pass',
    '8 s with empty fuel lines',
    { instants: { fire: 20 } },
    profileOf({ fuel: { linesEmptied: true } }),
  ],
  ['crank-time', 'pass', '18 s at −25 °C', { celsius: -25, instants: { fire: 30 } }],
  ['crank-time', 'fail', '33 s at −25 °C', { celsius: -25, instants: { fire: 45 } }],
  ['crank-time', 'not-judged', 'nobody cranked', keyOnOnly],

  ['oil-pressure-rise', 'pass', 'after 1.5 s', {}],
  ['oil-pressure-rise', 'caution', 'after 7 s', { signals: { 100: (t) => (t < 21 ? 0 : 300) } }],
  ['oil-pressure-rise', 'fail', 'after 12 s', { signals: { 100: (t) => (t < 26 ? 0 : 300) } }],
  ['oil-pressure-rise', 'fail', 'never', { signals: { 100: (t) => (t < 20 ? 0 : 12) } }],
  [
    'oil-pressure-rise',
    'caution',
    'stopped after 7 s without',
    { instants: { keyOff: 21, end: 24 }, signals: { 100: 0 } },
  ],
  ['oil-pressure-rise', 'pass', 'a switch', { signals: { 100: (t) => (t < 16 ? 0 : 276) } }],
  [
    'oil-pressure-rise',
    'not-judged',
    'a sender that stands at 140 kPa before anything turns',
    { signals: { 100: 140 } },
  ],
  [
    'oil-pressure-rise',
    'not-judged',
    'no message between the firing and 8 s after it',
    { signals: { 100: (t) => (t < 14 ? 0 : t < 22 ? 'not-available' : 300) } },
  ],
  [
    'oil-pressure-rise',
    'not-judged',
    'no message from 2 s after the firing on',
    { signals: { 100: (t) => (t < 16 ? 0 : 'not-available') } },
  ],
  [
    'oil-pressure-rise',
    'fail',
    'a hole, and too late for certain all the same',
    { signals: { 100: (t) => (t < 25 ? 0 : t < 27 ? 'not-available' : 300) } },
  ],
  ['oil-pressure-rise', 'not-judged', 'no oil pressure on the bus', { signals: { 100: null } }],
  ['oil-pressure-rise', 'not-judged', 'never a value', { signals: { 100: () => 'not-available' } }],
  ['oil-pressure-rise', 'not-judged', 'running when the recording begins', runningAlready],

  ['oil-pressure-kept', 'pass', '140 kPa', {}],
  ['oil-pressure-kept', 'pass', 'one low message', { signals: { 100: (t) => (t > 60 && t < 60.5 ? 8 : 140) } }],
  ['oil-pressure-kept', 'caution', '60 kPa for 3 s', { signals: { 100: (t) => (t > 60 && t < 63 ? 60 : 140) } }],
  ['oil-pressure-kept', 'fail', '20 kPa for 3 s', { signals: { 100: (t) => (t > 60 && t < 63 ? 20 : 140) } }],
  ['oil-pressure-kept', 'not-judged', 'six seconds of running', { instants: { keyOff: 20, end: 22 } }],

  ['oil-pressure-hot-idle', 'pass', '140 kPa', hot],
  ['oil-pressure-hot-idle', 'caution', '84 kPa', { ...hot, signals: { 100: (t) => (t < 15 ? 0 : t < 30 ? 120 : 84) } }],
  ['oil-pressure-hot-idle', 'fail', '48 kPa', { ...hot, signals: { 100: (t) => (t < 15 ? 0 : t < 30 ? 120 : 48) } }],
  ['oil-pressure-hot-idle', 'not-judged', 'cold oil', {}],
  ['oil-pressure-hot-idle', 'not-judged', 'a switch', { ...hot, signals: { 100: (t) => (t < 16 ? 0 : 276) } }],

  ['oil-pressure-at-speed', 'pass', 'held by the relief valve', hotDriven],
  [
    'oil-pressure-at-speed',
    'pass',
    '80 kPa for each 1,000 rpm',
    { ...hotDriven, signals: { 100: (t) => (t < 15 ? 0 : t < 90 ? 120 : 160) } },
  ],
  [
    'oil-pressure-at-speed',
    'caution',
    '56',
    { ...hotDriven, signals: { 100: (t) => (t < 15 ? 0 : t < 90 ? 120 : 112) } },
  ],
  ['oil-pressure-at-speed', 'fail', '40', { ...hotDriven, signals: { 100: (t) => (t < 15 ? 0 : t < 90 ? 120 : 80) } }],
  ['oil-pressure-at-speed', 'not-judged', 'cold oil', driven],
  ['oil-pressure-at-speed', 'not-judged', 'a switch', { ...hotDriven, signals: { 100: (t) => (t < 16 ? 0 : 276) } }],

  ['idle-stability', 'pass', 'without noise', hot],
  ['idle-stability', 'caution', '12 rpm', { ...hot, signals: { 190: noisy(750, 12) } }],
  ['idle-stability', 'fail', '25 rpm', { ...hot, signals: { 190: noisy(750, 25) } }],
  ['idle-stability', 'caution', '25 rpm, lukewarm', { ...hot, celsius: 50, signals: { 190: noisy(750, 25) } }],
  ['idle-stability', 'not-judged', 'cold', {}],
  ['idle-stability', 'not-judged', 'speed once a second', { ...hot, periods: { ...periods, 61444: 1000 } }],
  ['idle-stability', 'not-judged', 'a fan that comes and goes', { ...hot, others: fanFrames() }],

  ['idle-offset', 'pass', '750 rpm', hot],
  ['idle-offset', 'caution', '790 rpm', { ...hot, signals: { 190: noisy(790, 1) } }],
  ['idle-offset', 'fail', '820 rpm', { ...hot, signals: { 190: noisy(820, 1) } }],
  ['idle-offset', 'not-judged', 'a cold fast idle', { signals: { 190: noisy(850, 1), 515: 850 } }],
  ['idle-offset', 'not-judged', 'no target', { ...hot, without: [65247] }, UNKNOWN],

  ['idle-fuel', 'pass', '0.30 for each litre', hot],
  ['idle-fuel', 'caution', '0.50', { ...hot, signals: { 183: 1.5 } }],
  ['idle-fuel', 'fail', '0.70', { ...hot, signals: { 183: 2.1 } }],
  ['idle-fuel', 'caution', '0.10', { ...hot, signals: { 183: 0.3 } }],
  ['idle-fuel', 'not-judged', 'no engine size', hot, UNKNOWN],

  ['cold-soak-spread', 'pass', 'all at 20 °C', {}],
  ['cold-soak-spread', 'caution', '8 °C apart', { signals: { 105: 28 } }],
  ['cold-soak-spread', 'fail', 'one at −40 °C', { signals: { 105: -40 } }],
  ['cold-soak-spread', 'not-judged', 'a warm engine', { signals: { 110: 80, 175: 78, 174: 45, 105: 40 } }],
  ['cold-soak-spread', 'not-judged', 'a block heater', {}, profileOf({ run: { blockHeater: true } })],
  [
    'cold-soak-spread',
    'fail',
    'coolant warm after twelve hours',
    { signals: { 110: 45 } },
    profileOf({ run: { restedHours: 12 } }),
  ],

  ['warm-up-rate', 'pass', '1.4 °C a minute', { instants: { keyOff: 320, end: 322 } }],
  ['warm-up-rate', 'caution', '0.2 °C a minute', { instants: { keyOff: 320, end: 322 }, signals: { 110: slope(0.2) } }],
  ['warm-up-rate', 'fail', 'a jump of 20 °C', { signals: { 110: (t) => (t > 60 ? 40 : 20) } }],
  [
    'warm-up-rate',
    'fail',
    'flat while driving',
    { instants: { drive: [40, 400], keyOff: 405, end: 406 }, periods: slowly, signals: { 110: 31 } },
  ],
  ['warm-up-rate', 'not-judged', 'a short run', {}],

  ['thermostat', 'pass', '86 °C', { ...longDrive, periods: slowly }],
  [
    'thermostat',
    'caution',
    '77 °C',
    { ...longDrive, periods: slowly, signals: { 110: (t) => Math.min(77, 20 + t / 8) } },
  ],
  [
    'thermostat',
    'fail',
    '60 °C',
    {
      ...longDrive,
      periods: slowly,
      signals: { 110: (t) => Math.min(60, 20 + t / 8), 175: (t) => Math.min(70, 20 + t / 8) },
    },
  ],
  ['thermostat', 'fail', '112 °C', { ...hotDriven, signals: { 110: (t) => (t > 120 ? 112 : 90) } }],
  ['thermostat', 'not-judged', 'no load', hot],

  ['key-on-boost', 'pass', '0 kPa', {}],
  ['key-on-boost', 'caution', '6 kPa', { signals: { 102: 6 } }],
  ['key-on-boost', 'fail', '10 kPa', { signals: { 102: 10 } }],
  ['key-on-boost', 'pass', 'sent as absolute', { signals: { 102: 98 } }],
  ['key-on-boost', 'not-judged', 'running when the recording begins', runningAlready],

  ['ambient-pressure', 'pass', '98 kPa at 280 m', {}],
  ['ambient-pressure', 'caution', '93 kPa', { signals: { 108: 93 } }],
  ['ambient-pressure', 'fail', '85 kPa', { signals: { 108: 85 } }],
  ['ambient-pressure', 'not-judged', 'no altitude', {}, UNKNOWN],

  ['manifold-pressure', 'pass', 'equal', {}],
  ['manifold-pressure', 'caution', '4 kPa apart', { signals: { 3563: 102 } }],
  ['manifold-pressure', 'fail', '12 kPa apart', { signals: { 3563: 110 } }],
  ['manifold-pressure', 'not-judged', 'running when the recording begins', runningAlready],

  ['air-mass-zero', 'pass', '0 kg/h', {}],
  ['air-mass-zero', 'caution', '5 kg/h', { signals: { 132: 5 } }],
  ['air-mass-zero', 'fail', '12 kg/h', { signals: { 132: 12 } }],
  ['air-mass-zero', 'not-judged', 'six seconds at rest', { instants: { lamp: [1, 3], crank: 6, fire: 8 } }],

  ['air-mass-idle', 'pass', '1.0', {}],
  ['air-mass-idle', 'caution', '0.8', { signals: { 132: 56.5 } }],
  ['air-mass-idle', 'fail', '0.6', { signals: { 132: 42.4 } }],
  ['air-mass-idle', 'fail', '1.4', { signals: { 132: 99 } }],
  ['air-mass-idle', 'not-judged', 'no engine size', {}, UNKNOWN],
  ['air-mass-idle', 'not-judged', 'EGR open, flow untold', { signals: { 27: 20, 2659: null } }],
  [
    'air-mass-idle',
    'not-judged',
    'low, and nothing known of EGR',
    { without: [64916], signals: { 2659: null, 132: 50 } },
  ],

  ['boost-under-load', 'pass', '90 of 90 kPa', driven],
  ['boost-under-load', 'caution', '64 of 90', { ...driven, signals: { 102: (t) => (t > 60 && t < 100 ? 64 : 0) } }],
  ['boost-under-load', 'fail', '36 of 90', { ...driven, signals: { 102: (t) => (t > 60 && t < 100 ? 36 : 0) } }],
  ['boost-under-load', 'fail', '120 of 90', { ...driven, signals: { 102: (t) => (t > 60 && t < 100 ? 120 : 0) } }],
  [
    'boost-under-load',
    'not-judged',
    '2,000 rpm of a rated 2,000',
    driven,
    profileOf({ engine: { ratedSpeed: 2000 }, boostMap: MAP }),
  ],
  ['boost-under-load', 'not-judged', 'no map', driven, UNKNOWN],
  ['boost-under-load', 'not-judged', 'no load', {}],

  ['pedal-travel', 'pass', '0 to 100 %', swept(0, 100)],
  ['pedal-travel', 'caution', '0 to 80 %', swept(0, 80)],
  ['pedal-travel', 'fail', 'rests at 4 %', swept(4, 100)],
  [
    'pedal-travel',
    'caution',
    'a bouncing rest switch',
    swept(0, 100, { 558: (t) => (t > 5 && t < 5.3 ? 1 : t > 3.3 && t < 10.7 ? 0 : 1) }),
  ],
  ['pedal-travel', 'not-judged', 'no sweep', {}],
  ['pedal-travel', 'not-judged', 'no pedal fitted', swept(0, 100), profileOf({ fitted: { pedal: false } })],

  ['pedal-agreement', 'pass', 'equal', driven],
  [
    'pedal-agreement',
    'caution',
    'one message apart',
    { ...driven, signals: { 29: (t) => (t > 60 && t < 100 ? (t > 70 && t < 70.1 ? 20 : 60) : 0) } },
  ],
  [
    'pedal-agreement',
    'fail',
    'five seconds apart',
    { ...driven, signals: { 29: (t) => (t > 60 && t < 100 ? (t > 70 && t < 75 ? 40 : 60) : 0) } },
  ],
  [
    'pedal-agreement',
    'not-judged',
    'half the scale',
    { ...driven, signals: { 29: (t) => (t > 60 && t < 100 ? 30 : 0) } },
  ],
  ['pedal-agreement', 'not-judged', 'no second sensor', { ...driven, signals: { 29: null } }],

  ['egr-position', 'pass', 'shut', {}],
  ['egr-position', 'caution', '7 % off', { signals: { 27: 7 } }],
  ['egr-position', 'fail', '20 % off', { signals: { 27: 20 } }],
  ['egr-position', 'not-judged', 'no command', { signals: { 2791: null } }],
  ['egr-position', 'not-judged', 'none fitted', {}, profileOf({ fitted: { egr: false } })],

  ['rail-pressure', 'pass', '30 of 30 MPa', {}],
  ['rail-pressure', 'caution', '28 of 30', { signals: { 157: 28 } }],
  ['rail-pressure', 'fail', '20 of 30', { signals: { 157: 20 } }],
  ['rail-pressure', 'not-judged', 'no command', { signals: { 5313: null } }],
  ['rail-pressure', 'not-judged', 'never running', keyOnOnly],
]

/** Fan speed (SPN 975, PGN 65213, byte 1, 0.4 %) between 20 and 100 % every ten seconds. */
function fanFrames(): NonNullable<MadeRun['others']> {
  return Array.from({ length: 210 }, (_, at) => {
    const byte = Math.floor(at / 10) % 2 === 0 ? '32' : 'FA'
    return { at: at + 0.3, pgn: 65213, data: `${byte} FF FF FF FF FF FF FF` }
  })
}
