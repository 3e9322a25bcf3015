/** The idle's own rhythm: a cylinder that pulls less shows once in every two turns. */
import { mean, median, SECOND, windowOf } from '../../series.js'
import type { FaultContext } from '../context.js'
import { rpm, type Sight, sight } from '../sight.js'

const SPEED = 190
/** A four-stroke engine's cycle is two turns: half an order of its speed. */
const HALF_ORDER = 0.5
/** An order no cylinder count makes: what noise looks like. */
const NOISE_ORDER = 1.5
/** rpm of swing from which on it is felt, and how far above the noise it must be. Source: our own choice. */
const FELT = 8
const ABOVE_NOISE = 5
/** Length of a piece over which speed hardly drifts, in microseconds, and pieces needed. Source: our own choice. */
const PIECE = 2 * SECOND
const ENOUGH = 5
/** Messages a cycle needs to be seen in. */
const PER_CYCLE = 2.5

/** `half-order-swing`: the idle speed swings once in every two turns. */
export function halfOrderSwing(context: FaultContext): Sight | null {
  const samples = context.valid(SPEED)
  const idling = context.during(['idle-settle', 'idle', 'warm-idle'])
  const period = context.period(SPEED)
  const usual = median(context.inside(samples, idling).value)
  // At one message in a tenth of a second the cycle of a fast idle cannot be seen.
  if (usual === null || period === 0 || (120 * SECOND) / usual < PER_CYCLE * period) return null
  const found: { half: number; noise: number }[] = []
  for (const { from, to } of idling) {
    for (let at = from + PIECE; at + PIECE <= to; at += PIECE) {
      const { time, value } = windowOf(samples, at, at + PIECE)
      if (time.length < PIECE / period / 2) continue
      found.push({ half: amplitude(time, value, HALF_ORDER), noise: amplitude(time, value, NOISE_ORDER) })
    }
  }
  const half = median(found.map((piece) => piece.half))
  const noise = median(found.map((piece) => piece.noise))
  const first = idling[0]
  if (found.length < ENOUGH || half === null || noise === null || first === undefined) return null
  const span = { from: first.from, to: idling.at(-1)?.to ?? first.to }
  const refs = [context.ref(SPEED)]
  const swings = half >= FELT && half >= ABOVE_NOISE * noise
  if (swings)
    return sight(
      true,
      `At idle the speed swings by ±${rpm(half)} once in every two turns: one cylinder pulls less than the others.`,
      span,
      refs,
    )
  return half < FELT / 2
    ? sight(
        false,
        `At idle the speed hardly swings with the engine’s cycle (±${rpm(half)}): the cylinders pull alike.`,
        span,
        refs,
      )
    : null
}

/** Swing of the speed at an order of itself, rpm: its Fourier component over the crank angle. */
function amplitude(time: Float64Array, value: Float64Array, order: number): number {
  const middle = mean(value) ?? 0
  let real = 0
  let imaginary = 0
  let angle = 0
  for (let i = 0; i < value.length; i++) {
    if (i > 0) {
      const turns =
        (((time[i] as number) - (time[i - 1] as number)) / SECOND) *
        (((value[i] as number) + (value[i - 1] as number)) / 120)
      angle += turns * order * 2 * Math.PI
    }
    real += ((value[i] as number) - middle) * Math.cos(angle)
    imaginary += ((value[i] as number) - middle) * Math.sin(angle)
  }
  return (2 * Math.hypot(real, imaginary)) / value.length
}
