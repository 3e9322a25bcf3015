/** One vital, large enough to be read from two metres. */
import type { LiveVital } from '../recording/use-live.js'
import { scaleOf } from '../state/quantity.js'
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
  /** Whether the alarm is about this one. */
  readonly alarm: boolean
}

/** Its name, its value, and whether that is old. */
export function Vital({ id, vital, now, stale, begun, alarm }: VitalProps) {
  const { units } = useSettings()
  const known = vital !== undefined && vital.time !== null
  const unit = vital === undefined ? '' : scaleOf(vital.signal.unit, vital.signal.resolution, units).unit
  const old = known && (stale || isStale(now - vital.came, vital.period))
  return (
    <div class={['vital', old && 'old', alarm && 'missing'].filter(Boolean).join(' ')}>
      <span class="vital-name">
        {/* A blank keeps the unit's room until it is known. */}
        {vitalName(id)} <span class="vital-unit">{unit || '\u00a0'}</span>
      </span>
      <span class="vital-old">{old ? text.live.old : alarm ? text.live.missing : ''}</span>
      <VitalValue id={id} vital={vital} begun={begun} />
    </div>
  )
}

function VitalValue({ id, vital, begun }: Pick<VitalProps, 'id' | 'vital' | 'begun'>) {
  const { units } = useSettings()
  const words = text.live
  if (vital === undefined || vital.time === null || vital.value === null) {
    const why = vital === undefined || vital.time === null ? (begun ? words.never : words.comes) : words.noValue
    return (
      <span class="vital-value none">
        <span>{why}</span>
      </span>
    )
  }
  const { signal, value } = vital
  const shown = scaleOf(signal.unit, signal.resolution, units).show(value)
  // Without commas: four digits have to fit where three are as large as can be.
  const digits = Math.abs(shown).toFixed(id === 'volts' ? 1 : 0)
  return <span class="vital-value">{shown < 0 && Number(digits) !== 0 ? `−${digits}` : digits}</span>
}

/** What a vital is called. */
export function vitalName(id: string): string {
  return text.live.vitals[id as keyof typeof text.live.vitals]
}
