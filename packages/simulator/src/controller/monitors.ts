/**
 * The engine controller's diagnoses. Limits and times are the invented controller's own, in the range
 * that is common practice for such engines.
 */
import type { SensorName } from '../hardware.js'
import { SENSORS } from '../hardware.js'
import type { Controller } from './controller.js'
import type { Monitor } from './monitor-bank.js'
import { SENSOR_DEFINITIONS } from './sensors.js'

/** A broken wire is outside the range by more than noise can be. */
const WIRE_LOW = -0.06
const WIRE_HIGH = 1.06
/** V of a sensor supply that is too low. */
const SUPPLY_LOW = 4.5
/** Circuits that inspections of emissions care about. */
const EMISSIONS: readonly SensorName[] = [
  'air-mass',
  'intake-pressure',
  'intake-temperature',
  'egr-position',
  'rail-pressure',
]
const CIRCUIT_SET: Partial<Record<SensorName, number>> = { 'pedal-1': 0.3, 'pedal-2': 0.3, 'rail-pressure': 0.5 }

/** FMI 3 and 4 of every sensor: too many volts, too few. */
const CIRCUITS: readonly Monitor<Controller>[] = SENSORS.flatMap((name): Monitor<Controller>[] => {
  const { spn } = SENSOR_DEFINITIONS[name]
  const common = {
    spn,
    lamp: 'amber',
    emissions: EMISSIONS.includes(name),
    set: CIRCUIT_SET[name] ?? 1.5,
    heal: 3,
    enabled: (c: Controller) => c.awake > 0.4,
  } as const
  return [
    { ...common, fmi: 3, failing: (c) => c.inputs.level(name) > WIRE_HIGH },
    { ...common, fmi: 4, failing: (c) => c.inputs.level(name) < WIRE_LOW },
  ]
})

/** Noticed before the sensors that hang on it are. */
const SUPPLIES: readonly Monitor<Controller>[] = [
  { spn: 3509, fmi: 4, lamp: 'amber', set: 0.1, heal: 3, failing: (c) => c.inputs.sensorSupply1 < SUPPLY_LOW },
  { spn: 3510, fmi: 4, lamp: 'amber', set: 0.1, heal: 3, failing: (c) => c.inputs.sensorSupply2 < SUPPLY_LOW },
]

const runs = (c: Controller): boolean => c.running > 0

/** s of low oil pressure allowed after the start: cold oil takes longer. */
const oilDelay = (c: Controller): number => (c.inputs.value('oil-temperature') < 13 ? 9 : 4.4)

/** What speed density and its comparison rest on. */
const AIR_SENSORS: readonly SensorName[] = ['air-mass', 'intake-temperature', 'intake-pressure', 'barometric-pressure']

const PLAUSIBILITY: readonly Monitor<Controller>[] = [
  {
    spn: 100,
    fmi: 1,
    lamp: 'red',
    set: 0.5,
    heal: 2,
    enabled: (c) => c.running > oilDelay(c) - 0.5 && c.inputs.level('oil-pressure') > WIRE_LOW,
    failing: (c) => c.inputs.value('oil-pressure') < 50,
  },
  {
    spn: 100,
    fmi: 18,
    lamp: 'amber',
    set: 5,
    heal: 5,
    enabled: (c) => c.running > 15 && c.rpm > 1500 && !c.inputs.failed('oil-pressure'),
    failing: (c) => c.inputs.value('oil-pressure') < 110,
  },
  {
    spn: 110,
    fmi: 0,
    lamp: 'red',
    set: 2,
    heal: 10,
    enabled: (c) => !c.inputs.failed('coolant-temperature'),
    failing: (c) => c.inputs.value('coolant-temperature') > 112,
  },
  {
    spn: 110,
    fmi: 16,
    lamp: 'protect',
    set: 3,
    heal: 20,
    enabled: (c) => !c.inputs.failed('coolant-temperature'),
    failing: (c) => c.inputs.value('coolant-temperature') > 106,
  },
  {
    // Ten minutes of driving and still not warm: the thermostat is open.
    spn: 110,
    fmi: 17,
    lamp: 'amber',
    emissions: true,
    set: 120,
    heal: 60,
    enabled: (c) => c.running > 600 && c.plant.vehicle.kmh > 30 && !c.inputs.failed('coolant-temperature'),
    failing: (c) => c.inputs.value('coolant-temperature') < 68,
  },
  {
    spn: 132,
    fmi: 2,
    lamp: 'amber',
    emissions: true,
    set: 12,
    heal: 120,
    enabled: (c) =>
      c.rpm > 1300 &&
      c.load > 25 &&
      c.commands.egr < 1 &&
      !AIR_SENSORS.some((name) => c.inputs.failed(name)) &&
      !c.memory.isActive(27) &&
      !boostSuspect(c),
    failing: (c) => {
      const ratio = c.inputs.value('air-mass') / c.estimatedAir
      return ratio < 0.88 || ratio > 1.16
    },
  },
  {
    spn: 102,
    fmi: 18,
    lamp: 'amber',
    emissions: true,
    set: 4,
    heal: 60,
    enabled: (c) => c.loaded > 2.5 && c.rpm > 1500 && !c.inputs.failed('intake-pressure'),
    failing: (c) => c.boost < 0.6 * c.expectedBoost,
  },
  {
    // No boost without a turning engine: intake and barometer must agree.
    spn: 102,
    fmi: 20,
    lamp: 'amber',
    emissions: true,
    set: 2,
    heal: 2,
    enabled: (c) =>
      c.standing > 3 && c.awake > 2 && !c.inputs.failed('intake-pressure') && !c.inputs.failed('barometric-pressure'),
    failing: (c) => c.inputs.value('intake-pressure') - c.inputs.value('barometric-pressure') > 6,
  },
  {
    spn: 91,
    fmi: 2,
    lamp: 'amber',
    set: 0.04,
    heal: 2.5,
    enabled: (c) =>
      c.awake > 0.5 &&
      c.inputs.level('pedal-1') > WIRE_LOW &&
      c.inputs.level('pedal-2') > WIRE_LOW &&
      !c.memory.isActive(91, 4),
    failing: (c) => Math.abs(c.inputs.reading('pedal-1') - c.inputs.reading('pedal-2')) > 6,
  },
  {
    spn: 157,
    fmi: 18,
    lamp: 'amber',
    set: 2,
    heal: 20,
    enabled: (c) => c.running > 2 && !c.inputs.failed('rail-pressure'),
    failing: (c) => c.inputs.value('rail-pressure') < 0.75 * c.governor.railPressure,
  },
  {
    spn: 94,
    fmi: 18,
    lamp: 'amber',
    set: 3,
    heal: 10,
    enabled: (c) => c.commands.liftPump && c.awake > 4 && !c.inputs.failed('fuel-delivery-pressure'),
    failing: (c) => c.inputs.value('fuel-delivery-pressure') < 240,
  },
  {
    spn: 97,
    fmi: 15,
    lamp: 'amber',
    set: 10,
    heal: 60,
    failing: (c) => c.waterInFuel,
  },
  {
    spn: 27,
    fmi: 7,
    lamp: 'amber',
    emissions: true,
    set: 5,
    heal: 30,
    enabled: (c) => runs(c) && !c.inputs.failed('egr-position'),
    failing: (c) => Math.abs(c.inputs.value('egr-position') - c.commands.egr) > 15,
  },
  {
    spn: 636,
    fmi: 2,
    lamp: 'amber',
    set: 0.3,
    heal: 20,
    enabled: (c) => c.running > 1,
    failing: (c) => c.pulseLosses > 4,
  },
  {
    spn: 1569,
    fmi: 31,
    lamp: 'protect',
    set: 1,
    heal: 3,
    failing: (c) => c.derate < 0.7 && !c.memory.isActive(91),
  },
]

/** Boost does not follow: nothing else about the air can be judged until that is settled. */
function boostSuspect(c: Controller): boolean {
  return c.memory.isActive(102) || (c.load > 60 && c.boost < 0.65 * c.expectedBoost)
}

const ELECTRICAL: readonly Monitor<Controller>[] = [
  {
    // The heater is on and the volts do not sag: it draws nothing.
    spn: 729,
    fmi: 5,
    lamp: 'amber',
    set: 2,
    heal: 20,
    enabled: (c) => c.heating > 1.5 && c.cranking === 0 && !runs(c) && c.voltsBeforeHeating > 12.1,
    failing: (c) => c.voltsBeforeHeating - c.inputs.volts < 0.3,
  },
  {
    spn: 168,
    fmi: 18,
    lamp: 'amber',
    set: 0.7,
    heal: 5,
    enabled: (c) => c.awake > 0.1,
    failing: (c) => c.inputs.volts < 7.95,
  },
  {
    spn: 168,
    fmi: 16,
    lamp: 'amber',
    set: 5,
    heal: 10,
    failing: (c) => c.inputs.volts > 15.3,
  },
  {
    spn: 167,
    fmi: 18,
    lamp: 'amber',
    set: 20,
    heal: 10,
    enabled: (c) => c.running > 10,
    failing: (c) => c.inputs.volts < 13,
  },
  {
    // The ignition feed went away under a turning engine and came back: no hand on a key is that quick.
    spn: 158,
    fmi: 2,
    lamp: 'amber',
    set: 0.02,
    heal: 20,
    failing: (c) => c.feedReturned < 1,
  },
  {
    // Messages the engine needs from the gearbox have stopped.
    spn: 639,
    fmi: 9,
    lamp: 'amber',
    set: 0.1,
    heal: 3,
    enabled: (c) => c.awake > 3 && c.keyOn,
    failing: (c) => c.networkSilent > 0.5,
  },
]

/** Every diagnosis of the engine's controller. */
export const ENGINE_MONITORS: readonly Monitor<Controller>[] = [
  ...SUPPLIES,
  ...CIRCUITS,
  ...PLAUSIBILITY,
  ...ELECTRICAL,
]
