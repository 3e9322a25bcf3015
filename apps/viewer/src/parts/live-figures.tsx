/** Figures beside the vitals, followed only while they are unfolded. */
import { useState } from 'preact/hooks'
import { type LiveVital, useLive, usePaused, type VitalChoice } from '../recording/use-live.js'
import { formatNumber, scaleOf } from '../state/quantity.js'
import { useSettings } from '../state/settings.js'
import { text } from '../words/text.js'
import { Trend } from './trend.js'

/** What may be of use at a first start and a first drive, where it is sent. */
const FIGURES: readonly VitalChoice[] = [92, 91, 513, 102, 108, 132, 105, 175, 183, 94, 157, 171, 173, 84, 96, 247].map(
  (spn) => ({ id: `${spn}`, spns: [spn] }),
)

interface FiguresProps {
  readonly source: string
  readonly paused: boolean
}

/** The fold. What it follows is apart from the vitals, so that unfolding never disturbs their watch. */
export function LiveFigures({ source, paused }: FiguresProps) {
  const [open, setOpen] = useState(false)
  return (
    <details class="before" onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>
        <h2>{text.live.figures}</h2>
      </summary>
      {open && <Figures source={source} paused={paused} />}
    </details>
  )
}

function Figures({ source, paused }: FiguresProps) {
  const { vitals } = usePaused(useLive(source, FIGURES), paused)
  if (vitals.size === 0) return <p>{text.live.figuresNone}</p>
  return (
    <div class="trends figures">
      {[...vitals].map(([id, vital]) => (
        <LiveFigure key={id} vital={vital} />
      ))}
    </div>
  )
}

function LiveFigure({ vital }: { readonly vital: LiveVital }) {
  const { units } = useSettings()
  const { signal, value } = vital
  const scale = scaleOf(signal.unit, signal.resolution, units)
  return (
    <div class="figure">
      <p class="figure-value">
        {value === null ? text.plots.status['not-available'] : formatNumber(scale.show(value), scale.decimals)}{' '}
        <span class="vital-unit">{value === null ? '' : scale.unit}</span>
      </p>
      <Trend vital={vital} name={signal.name} />
    </div>
  )
}
