/** The idle speed the engine should hold, at any moment. */
import type { EngineView } from './engine-view.js'
import type { Profile } from './profile.js'
import { quantile, SECOND, valueAt, valuesAt } from './series.js'

/** Where an idle target comes from. */
export type IdleTargetBasis = 'profile' | 'reported' | 'learned'

/** The target and who says it. */
export interface IdleTarget {
  readonly basis: IdleTargetBasis
  /** rpm in force at a time. */
  at(time: number): number
}

/** SPN 188, the idle point of the engine's own configuration; repeated every 5 s or so. */
const IDLE_POINT = 188
/** SPN 515, the speed the controller wants: an idle target only while it lies near what is learned. */
const DESIRED = 515
const DESIRED_NEAR = 0.3
/** A configuration message is in force for a minute. */
const CONFIGURATION_HOLD = 60 * SECOND
/** Speeds no diesel idles at, rpm. Common practice. */
const LEAST = 300
const MOST = 1600

/**
 * The idle target: as the controller reports it, which knows about fast idle; else the profile's; else
 * the speed the engine itself keeps returning to. Undefined where none of the three is there.
 */
export function findIdleTarget(engine: EngineView, profile: Profile): IdleTarget | undefined {
  const learned = learnIdle(engine)
  const near = (value: number | null): value is number =>
    value !== null && (learned === null || Math.abs(value - learned) <= DESIRED_NEAR * learned)
  const point = engine.valid(IDLE_POINT)
  const desired = engine.valid(DESIRED)
  const own = profile.engine.idleSpeed
  const fixed = own ?? learned
  const reported = (time: number): number | null => {
    const wanted = valueAt(desired, time, engine.hold(DESIRED))
    if (near(wanted)) return wanted
    const configured = valueAt(point, time, CONFIGURATION_HOLD)
    return near(configured) ? configured : null
  }
  const told = [...point.value.filter(near), ...desired.value.filter(near)]
  if (told.length > 0) {
    const usual = fixed ?? quantile(told, 0.25) ?? Number.NaN
    return { basis: 'reported', at: (time) => reported(time) ?? usual }
  }
  if (own !== undefined) return { basis: 'profile', at: () => own }
  return learned === null ? undefined : { basis: 'learned', at: () => learned }
}

/**
 * The idle speed the engine shows: the lower quartile of its speeds with the pedal released and the
 * vehicle standing; of all running speeds, the lowest tenth, where neither is known.
 */
function learnIdle(engine: EngineView): number | null {
  const { time, value } = engine.valid(190)
  const pedal = valuesAt(engine.valid(91), time, engine.hold(91))
  const vehicle = valuesAt(engine.valid(84), time, engine.hold(84))
  const running: number[] = []
  const resting: number[] = []
  for (let i = 0; i < value.length; i++) {
    const speed = value[i] as number
    if (speed < LEAST || speed > MOST) continue
    running.push(speed)
    const released = (pedal[i] as number) <= 2
    const moving = (vehicle[i] as number) >= 1
    if (released && !moving) resting.push(speed)
  }
  return resting.length > 0 ? quantile(resting, 0.25) : quantile(running, 0.1)
}
