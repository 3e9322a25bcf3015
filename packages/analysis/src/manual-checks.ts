/**
 * What the bus cannot show: a person looks, feels, measures and ticks. A report holds all of it beside
 * every automatic verdict. Where the engine maker's manual says otherwise, the manual is right.
 */
import { turningCautions } from './cautions.js'
import type { ManualCheck, ManualStage } from './report.js'

/** One row of the list. */
export interface ManualCheckDefinition {
  readonly id: string
  readonly stage: ManualStage
  readonly text: string
  /** What to use; null where hands and eyes do. */
  readonly tool: string | null
  readonly cautions: readonly string[]
  /** Checks and causes that make it the more needed when they did not pass or were not judged. */
  readonly about: readonly string[]
  readonly source: string
}

const PRACTICE = 'common practice'

type Extras = { tool?: string; cautions?: readonly string[]; about?: readonly string[]; source?: string }

const look = (id: string, stage: ManualStage, text: string, extras: Extras = {}): ManualCheckDefinition => ({
  id,
  stage,
  text,
  tool: extras.tool ?? null,
  cautions: [...new Set([...turningCautions(stage), ...(extras.cautions ?? [])])],
  about: extras.about ?? [],
  source: extras.source ?? PRACTICE,
})

/** What each stage of the work is called, in the order of the work. */
export const MANUAL_STAGES: Readonly<Record<ManualStage, string>> = {
  before: 'Before the first crank',
  cranking: 'While cranking',
  running: 'Engine running',
  stopped: 'Engine stopped again',
  road: 'On the road',
  'hand-over': 'Hand-over',
}

/** Every row, in the order of the work. */
export const MANUAL_CHECKS: readonly ManualCheckDefinition[] = [
  look(
    'right-parts',
    'before',
    'Engine, controller and calibration belong together: compare the numbers on the plates with the papers.',
  ),
  look('damage', 'before', 'No transport damage, no caps or plugs left in openings, no substituted parts.'),
  look('oil-level', 'before', 'Oil filled: right grade, level between the marks, vehicle level.', {
    tool: 'dipstick',
    about: ['oil-pressure-rise', 'oil-pressure-hot-idle'],
  }),
  look(
    'oil-filter',
    'before',
    'Remote oil filter filled before fitting; its hoses not crossed, not kinked, right diameter.',
    { about: ['oil-pressure-rise'] },
  ),
  look('coolant', 'before', 'Coolant filled and bled; hoses, clamps and drain plugs tight.', {
    about: ['cold-soak-spread', 'warm-up-rate', 'thermostat'],
  }),
  look(
    'fuel-primed',
    'before',
    'Fuel fresh and clean, filter fitted, system primed, bleed screws closed; supply and return not crossed.',
    {
      cautions: ['fuel-pressure'],
      about: ['rail-pressure', 'crank-time'],
    },
  ),
  look('air-path', 'before', 'Air filter fitted, hoses and clamps tight, nothing left in the intake.', {
    about: ['air-mass-idle', 'boost-under-load'],
  }),
  look(
    'air-mass-sensor',
    'before',
    'Air-mass sensor in the tube its calibration is for: measure the bore; arrow in the direction of flow.',
    {
      tool: 'calliper',
      about: ['air-mass-zero', 'air-mass-idle'],
    },
  ),
  look(
    'grounds',
    'before',
    'Battery, engine and frame grounds on bare metal, tight, cable as thick as the manual asks for.',
    {
      cautions: ['battery'],
      about: ['crank-voltage', 'controller-reset', 'crank-speed'],
    },
  ),
  look(
    'harness',
    'before',
    'Harness clear of heat, edges and moving parts; every connector locked; no pin pushed back.',
    { about: ['missing-messages', 'bus-silence'] },
  ),
  look(
    'terminators',
    'before',
    'Bus: 60 Ω between the two wires, batteries isolated; one terminator at each end of the trunk.',
    {
      tool: 'multimeter',
      cautions: ['bus-measuring'],
      about: ['error-frames', 'bus-silence', 'missing-messages'],
      source: 'Lesson on the CAN physical layer and termination',
    },
  ),
  look(
    'heater',
    'before',
    'Intake heater: studs insulated, cable fused and clear; its solenoid opens again after the lamp has gone out.',
    {
      tool: 'current clamp',
      cautions: ['intake-heater'],
      about: ['heater-draw', 'heater-release', 'rest-voltage'],
    },
  ),
  look('pedal', 'before', 'Pedal moves freely from rest to stop, no mat or bracket in its way.', {
    about: ['pedal-travel', 'pedal-agreement'],
  }),
  look(
    'torque',
    'before',
    'Engine mounts, driveline, exhaust and pulleys tightened to the manual’s torque and marked.',
    { tool: 'torque wrench' },
  ),
  look('guards', 'before', 'Belt and fan guards on. Fan turns freely, with clearance all round.', {
    cautions: ['before-cranking'],
  }),
  look(
    'stop',
    'before',
    'A way to stop the engine that does not need the controller is known and within reach of a second person.',
    {
      cautions: ['precedence', 'runaway'],
    },
  ),
  look('neutral', 'before', 'Neutral, brake set, wheels chocked, extinguisher at hand, exhaust drawn off.', {
    cautions: ['before-cranking', 'exhaust-gas'],
  }),

  look('starter', 'cranking', 'Starter engages cleanly and lets go at once; cables and terminals stay cool.', {
    cautions: ['battery'],
    about: ['crank-voltage', 'crank-speed'],
  }),
  look('crank-leaks', 'cranking', 'No fuel, oil or coolant appears anywhere while it turns.', {
    cautions: ['fuel-pressure'],
    about: ['crank-time', 'rail-pressure'],
  }),

  look('oil-gauge', 'running', 'Oil pressure on a mechanical gauge agrees with the bus.', {
    tool: 'mechanical oil gauge',
    cautions: ['no-oil-pressure'],
    about: ['oil-pressure-rise', 'oil-pressure-hot-idle', 'oil-pressure-at-speed'],
  }),
  look('fuel-leaks', 'running', 'No fuel leak at filter, pump, rail and lines.', {
    tool: 'cardboard, from a distance',
    cautions: ['fuel-pressure'],
    about: ['rail-pressure'],
  }),
  look('fluid-leaks', 'running', 'No oil or coolant leak, first cold, then again hot.', {
    cautions: ['hot-parts'],
  }),
  look('noise', 'running', 'No knock, no rub, no whistle, no exhaust leak.'),
  look('smoke', 'running', 'Smoke clears after a short while: note its colour if it does not.', {
    cautions: ['exhaust-gas'],
    about: ['idle-stability', 'heater-draw'],
  }),
  look('vibration', 'running', 'Mounts, pipes and brackets do not shake at any speed.', { about: ['idle-stability'] }),
  look('temperatures', 'running', 'Housing temperatures agree with the bus: block, thermostat housing, intake.', {
    tool: 'infrared thermometer',
    cautions: ['hot-parts'],
    about: ['cold-soak-spread', 'warm-up-rate', 'thermostat'],
  }),
  look('charging', 'running', 'Voltage at the battery posts agrees with the bus; belt tight and in line.', {
    tool: 'multimeter',
    cautions: ['battery'],
    about: ['charging-voltage'],
  }),
  look('gauge-reads', 'running', 'Every gauge in the dash shows what the bus sends; lamps go out.', {
    about: ['address-conflict'],
  }),

  look('levels-again', 'stopped', 'Oil and coolant level again after the filters have filled.', {
    tool: 'dipstick',
    cautions: ['hot-parts'],
  }),
  look('retighten', 'stopped', 'Clamps and fasteners the manual names retightened after the first warm-up.', {
    tool: 'torque wrench',
    cautions: ['hot-parts'],
  }),
  look('chafe', 'stopped', 'Hoses and harness not moved against anything hot or sharp.', {
    about: ['missing-messages', 'bus-silence'],
  }),
  look(
    'key-off-rest',
    'stopped',
    'With the key off, the controllers go to sleep and nothing stays warm or draws current.',
    { tool: 'current clamp', cautions: ['heater-stuck'], about: ['heater-draw'] },
  ),

  look('brakes', 'road', 'Brakes, steering and transmission work before the vehicle leaves the yard.', {
    cautions: ['driving'],
  }),
  look('load', 'road', 'It pulls evenly under load; temperature and oil pressure stay steady.', {
    cautions: ['driving'],
    about: ['boost-under-load', 'thermostat'],
  }),

  look(
    'faults-clear',
    'hand-over',
    'Fault list read again after a run like this one; copies of it kept before anything is cleared.',
  ),
  look('papers', 'hand-over', 'Registration, emissions and insurance papers fit the engine that is fitted now.', {
    cautions: ['precedence', 'aftertreatment'],
  }),
  look('records', 'hand-over', 'This recording, this report and the engine profile kept with the vehicle’s papers.'),
]

/**
 * The list for a report: every row, each with the open or failed checks and the findings it bears on.
 *
 * @param open ids of checks that did not pass or were not judged, and of causes that were found
 */
export function manualChecks(open: ReadonlySet<string>): readonly ManualCheck[] {
  return MANUAL_CHECKS.map(({ id, stage, text, tool, cautions, about }) => ({
    id,
    stage,
    text,
    tool,
    cautions,
    because: about.filter((name) => open.has(name)),
  }))
}
