/** Time from the event, and the phases and faults of both runs along it. */
import type { Phase, RunSide } from '@firstcrank/analysis'
import { GUTTER } from '../charts/plot.js'
import type { Window } from '../state/route.js'
import { formatTime, tickStep, ticksBetween } from '../state/time.js'
import { compareText } from '../words/compare-text.js'
import { text } from '../words/text.js'
import type { AxisEvent } from './compare-axis.js'
import type { CompareSide, CompareSides } from './compare-model.js'
import { phaseTitle } from './time-spine.js'

const TICK_ROOM = 90
/** Percent of the axis beyond which a label would run over its end. */
const LABEL_END = 95
/** Pixels a letter of a phase's name needs. */
const LETTER = 8

interface SpineProps {
  readonly event: AxisEvent
  readonly sides: CompareSides
  readonly window: Window
  readonly width: number
}

/** The rows. */
export function CompareSpine({ event, sides, window, width }: SpineProps) {
  const { from, to } = window
  const track = width - GUTTER.left - GUTTER.right
  const place = (seconds: number): number => ((seconds - from) / (to - from)) * 100
  const room = Math.max(1, track / TICK_ROOM)
  const step = tickStep(to - from, room)
  return (
    <div class="spine-head compare-spine">
      <div class="spine-row">
        <div class="spine-track">
          <div class="axis" aria-hidden="true">
            {ticksBetween(from, to, room).map((tick) => (
              <span key={tick} class="tick" style={{ left: `${place(tick)}%` }}>
                {place(tick) < LABEL_END ? formatTime(tick, step) : ''}
              </span>
            ))}
          </div>
        </div>
      </div>
      {(['before', 'after'] as const).map((side) => (
        <SideRows key={side} side={side} of={sides[side]} zero={event[side]} place={place} track={track} />
      ))}
    </div>
  )
}

interface RowsProps {
  readonly side: RunSide
  readonly of: CompareSide
  /** Microseconds of the event. */
  readonly zero: number
  readonly place: (seconds: number) => number
  readonly track: number
}

function SideRows({ side, of, zero, place, track }: RowsProps) {
  const { model } = of
  const shift = (model.zero - zero) / 1e6
  const spans = model.groups.flatMap(({ lanes }) =>
    lanes.flatMap((lane) => lane.spans.map((span) => ({ ...span, lane }))),
  )
  return (
    <>
      <div class="spine-row">
        <span class="spine-name">{compareText.sides[side]}</span>
        <div class="spine-track">
          <PhaseList
            phases={model.phases}
            zero={zero}
            place={place}
            track={track}
            label={compareText.overlay.phasesOf[side]}
          />
        </div>
      </div>
      <div class="lane-track" aria-hidden="true">
        {spans.map(({ lane, from, to, cleared }) => {
          const [start, end] = [Math.max(0, place(from + shift)), Math.min(100, place(to + shift))]
          if (end < 0 || start > 100) return null
          return (
            <span
              key={`${lane.key}${from}`}
              class={cleared ? 'on cleared' : 'on'}
              style={{ left: `${start}%`, width: `${Math.max(0, end - start)}%` }}
              title={`${lane.spn}/${lane.fmi} ${lane.name}`}
            />
          )
        })}
      </div>
    </>
  )
}

interface PhaseProps {
  readonly phases: readonly Phase[]
  readonly zero: number
  readonly place: (seconds: number) => number
  readonly track: number
  readonly label: string
}

function PhaseList({ phases, zero, place, track, label }: PhaseProps) {
  if (phases.length === 0) return <p class="spine-note">{text.spine.noPhases}</p>
  return (
    <ul aria-label={label}>
      {phases.map((phase) => {
        const start = Math.max(0, place((phase.from - zero) / 1e6))
        const end = Math.min(100, place((phase.to - zero) / 1e6))
        if (end <= 0 || start >= 100) return null
        const name = text.phases[phase.kind]
        const fits = ((end - start) / 100) * track > name.length * LETTER
        const title = phaseTitle(phase, zero)
        return (
          <li
            key={`${phase.from}${phase.kind}`}
            class={`phase phase-${phase.kind}`}
            style={{ left: `${start}%`, width: `${Math.max(0, end - start)}%` }}
            title={title}
          >
            <span aria-hidden="true">{fits ? name : ''}</span>
            <span class="hidden">{title}</span>
          </li>
        )
      })}
    </ul>
  )
}
