/**
 * What a person must know before a step, by name. The engine maker's manual, local codes and licensed
 * trades come before all of it; the program advises and never authorises.
 */

/** One caution. */
export interface Caution {
  readonly id: string
  /** `stop`: somebody can be hurt at once or an engine lost. `warning`: somebody can be hurt. `note`: good practice. */
  readonly level: 'stop' | 'warning' | 'note'
  /** Short sentences, to be read before the step. */
  readonly text: string
  readonly source: string
}

const TABLE = {
  precedence: {
    level: 'note',
    text: 'The engine maker’s manual, local codes and licensed trades come before this report. It advises; it never authorises. Work with a second person and a stop within reach.',
    source: 'common practice',
  },
  'before-cranking': {
    level: 'warning',
    text: 'Neutral, brake set, guards on. Hair, sleeves and tools clear of belts and fan. Extinguisher at hand.',
    source: 'common practice',
  },
  'exhaust-gas': {
    level: 'warning',
    text: 'Diesel exhaust harms health: run the engine outdoors or with the exhaust drawn off.',
    source: 'US occupational and mine safety administrations, hazard alert on diesel exhaust',
  },
  'crank-limit': {
    level: 'warning',
    text: 'Never crank longer than 30 seconds at a time, then let the starter cool for two minutes. Never leave it unattended.',
    source: 'Published limitations on engine cranking time; common practice',
  },
  'no-oil-pressure': {
    level: 'stop',
    text: 'No oil pressure ten seconds after firing: stop the engine. Do not rev it and do not start it again to see. Measure with a mechanical gauge first.',
    source: 'A filter maker’s advice on loss of oil-pump prime; common practice',
  },
  'fuel-pressure': {
    level: 'stop',
    text: 'Fuel in the rail goes through skin. Never feel for a leak; use cardboard, from a distance. Any puncture, painless or not, is a surgical emergency: hospital at once. Wait the maker’s time after switching off before opening a line.',
    source: 'High-pressure diesel training article; encyclopaedia article on high-pressure injection injury',
  },
  battery: {
    level: 'warning',
    text: 'Battery gas explodes and acid burns: eye protection, no flame, no sparks. Take off rings and watches. Disconnect negative first, connect it last.',
    source: 'Canadian centre for occupational health and safety, on batteries (gas); common practice',
  },
  'intake-heater': {
    level: 'warning',
    text: 'The intake heater draws more than 100 A and its grid gets hot enough to burn. Isolate the battery before touching its studs.',
    source: 'Parts description of an intake heater relay: loads of 100 to 200 A; common practice',
  },
  'heater-stuck': {
    level: 'stop',
    text: 'An intake heater that never switches off can start a fire. Switch off, isolate the battery, and leave it isolated until the solenoid is replaced.',
    source: 'common practice',
  },
  'hot-parts': {
    level: 'warning',
    text: 'Manifold, turbocharger and coolant are hot. Never open the pressure cap of a warm cooling system.',
    source: 'common practice',
  },
  driving: {
    level: 'warning',
    text: 'The driver drives. A second person watches the screen, or it is read afterwards. Never chase a full-load figure on a public road.',
    source: 'common practice',
  },
  runaway: {
    level: 'stop',
    text: 'A diesel that draws oil or vapour can run on with the key off, faster and faster. Clear the area; use the air shut-off if one is fitted, never your hands. Keep fuel vapour away from the intake.',
    source: 'Government of Ontario alert: external fuel sources initiating diesel engine runaway',
  },
  'key-off-measuring': {
    level: 'note',
    text: 'Key off and wait for the controller to go to sleep before unplugging anything. Never pierce insulation. Never use an ohm-meter on a controller’s pins.',
    source: 'common practice',
  },
  'rotating-parts': {
    level: 'warning',
    text: 'With the engine running, keep hands, leads and tools away from belts, fan and pulleys; an electric fan may start by itself.',
    source: 'common practice',
  },
  'bus-measuring': {
    level: 'note',
    text: 'Measure the resistance between the two bus wires only with every battery disconnected or every key and main switch off.',
    source: 'Lesson on the CAN physical layer and termination',
  },
  welding: {
    level: 'warning',
    text: 'Before welding: disconnect the batteries, isolate the controllers as the manual says, clamp the ground beside the weld.',
    source: 'Collision repair training body, advice on welding near electronics',
  },
  aftertreatment: {
    level: 'note',
    text: 'Never defeat exhaust aftertreatment: it is unlawful in many places and the controller may shut the engine down.',
    source: 'common practice',
  },
} as const satisfies Readonly<Record<string, Omit<Caution, 'id'>>>

/** Name of a caution. */
export type CautionId = keyof typeof TABLE

/** What anybody near an engine that turns is warned of. */
const TURNING: Readonly<Record<string, readonly CautionId[]>> = {
  cranking: ['before-cranking', 'crank-limit'],
  running: ['rotating-parts'],
}

/** The cautions that come with everything done while the engine turns; none in another state. */
export function turningCautions(state: string): readonly CautionId[] {
  return TURNING[state] ?? []
}

/** Every caution, in the order of the table. */
export const CAUTIONS: readonly Caution[] = Object.entries(TABLE).map(([id, caution]) => ({ id, ...caution }))

/** The caution with a name; undefined where there is none. */
export function findCaution(id: string): Caution | undefined {
  return CAUTIONS.find((caution) => caution.id === id)
}
