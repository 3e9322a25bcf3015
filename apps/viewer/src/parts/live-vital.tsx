/** One vital, large enough to be read from two metres. */
import type { LiveVital } from '../recording/use-live.js'
import { formatNumber, scaleOf } from '../state/quantity.js'
import { useSettings } from '../state/settings.js'
import { text } from '../words/text.js'
import { isStale } from './live-watch.js'

interface VitalProps {
  readonly id: string
  readonly vital: LiveVital | undefined
  readonly now: number
  readonly stale: boolean
  /** Whether anything has come yet. */
  readonly begun: boolean
}

/** Its name, its value, and whether that is old. */
export function Vital({ id, vital, now, stale, begun }: VitalProps) {
  const { units } = useSettings()
  const name = vitalName(id)
  if (vital === undefined || vital.time === null) {
    return (
      <div class="vital">
        <span class="vital-name">{name}</span>
        <span class="vital-value none">{begun ? text.live.never : text.live.comes}</span>
      </div>
    )
  }
  const { signal, value, came, period } = vital
  const scale = scaleOf(signal.unit, signal.resolution, units)
  const old = stale || isStale(now - came, period)
  return (
    <div class={old ? 'vital old' : 'vital'}>
      <span class="vital-name">{name}</span>
      <span class="vital-value">
        {value === null ? text.plots.status['not-available'] : formatNumber(scale.show(value), id === 'volts' ? 1 : 0)}
      </span>
      <span class="vital-unit">{scale.unit}</span>
      <span class="vital-old">{old ? text.live.old : ''}</span>
    </div>
  )
}

/** What a vital is called. */
export function vitalName(id: string): string {
  return text.live.vitals[id as keyof typeof text.live.vitals]
}
