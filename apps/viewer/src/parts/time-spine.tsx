/** The spine of the sheet: time, the phases as a band, faults as lanes, gaps; all plots follow it. */
import type { Phase } from '@firstcrank/analysis'
import type { PinnedNote } from '@firstcrank/feed'
import type { ComponentChildren } from 'preact'
import { useState } from 'preact/hooks'
import { GUTTER } from '../charts/plot.js'
import { changeSheet } from '../state/location.js'
import { useSentence } from '../state/sentence.js'
import { formatDuration, formatTime, tickStep, ticksBetween } from '../state/time.js'
import { text } from '../words/text.js'
import { type Flag, FlagRow } from './flag-row.js'
import type { Lane, LaneGroup, LaneSpan, SheetModel } from './model.js'
import { isAt } from './pinned-notes.js'
import { gapsOf, resetsOf, type SpineGap } from './spine-gaps.js'

/** Lanes shown at first. */
const FEW_LANES = 8
const TICK_ROOM = 90

interface SpineProps {
  readonly model: SheetModel
  readonly width: number
  readonly open: string | null
  readonly onOpen: (key: string) => void
  /** Where the cursor was set, in seconds; null where it was not. */
  readonly at: number | null
  readonly pins: readonly PinnedNote[]
}

/** Where a time lies, in percent of the axis. */
type Place = (seconds: number) => number

/** The rows of the spine. */
export function TimeSpine({ model, width, open, onOpen, at, pins }: SpineProps) {
  const { from, to } = model.window
  const place: Place = (seconds) => ((seconds - from) / (to - from)) * 100
  return (
    <>
      <div class="spine-head">
        <TimeAxis from={from} to={to} width={width} place={place} />
        <PhaseBand model={model} place={place} width={width} />
      </div>
      <div class="spine">
        <FindingFlags model={model} place={place} open={open} onOpen={onOpen} />
        <PinFlags model={model} place={place} at={at} pins={pins} />
        <FaultLanes model={model} place={place} open={open} onOpen={onOpen} />
        <Gaps name={text.spine.gaps} gaps={gapsOf(model)} place={place} />
        <Gaps name={text.spine.resets} gaps={resetsOf(model)} place={place} />
      </div>
    </>
  )
}

function TimeAxis({ from, to, width, place }: { from: number; to: number; width: number; place: Place }) {
  const room = Math.max(1, (width - GUTTER.left - GUTTER.right) / TICK_ROOM)
  const step = tickStep(to - from, room)
  return (
    <Row label="">
      <div class="axis" aria-hidden="true">
        {ticksBetween(from, to, room).map((tick) => (
          <span key={tick} class="tick" style={{ left: `${place(tick)}%` }}>
            {place(tick) < LABEL_END ? formatTime(tick, step) : ''}
          </span>
        ))}
      </div>
    </Row>
  )
}

/** A row with its name in the gutter that the plots use for their values. */
function Row({ label, children, tall = false }: { label: string; children: ComponentChildren; tall?: boolean }) {
  return (
    <div class={tall ? 'spine-row tall' : 'spine-row'}>
      <span class="spine-name">{label}</span>
      <div class="spine-track">{children}</div>
    </div>
  )
}

/** Percent of the axis beyond which a label would run over its end. */
const LABEL_END = 96
/** Pixels a phase needs to show its name. */
const NAME_ROOM = 8

function PhaseBand({ model, place, width }: { model: SheetModel; place: Place; width: number }) {
  const { phases, report, zero } = model
  if (phases.length === 0) {
    return (
      <Row label={text.spine.phases}>
        <p class="spine-note">{report === null ? text.spine.reading : text.spine.noPhases}</p>
      </Row>
    )
  }
  const track = width - GUTTER.left - GUTTER.right
  return (
    <Row label={text.spine.phases}>
      {phases.map((phase) => {
        const start = Math.max(0, place((phase.from - zero) / 1e6))
        const end = Math.min(100, place((phase.to - zero) / 1e6))
        if (end <= 0 || start >= 100) return null
        const name = text.phases[phase.kind]
        const fits = ((end - start) / 100) * track > name.length * NAME_ROOM
        return (
          <span
            key={`${phase.from}${phase.kind}`}
            class={`phase phase-${phase.kind}`}
            style={{ left: `${start}%`, width: `${Math.max(0, end - start)}%` }}
            title={phaseTitle(phase, zero)}
          >
            {fits ? name : ''}
          </span>
        )
      })}
    </Row>
  )
}

/** A phase in words: what, when, how long, how it is known. */
export function phaseTitle({ kind, from, to, basis, attempt }: Phase, zero: number): string {
  const try_ = attempt === undefined ? '' : ` ${attempt.number}`
  const length = formatDuration((to - from) / 1e6)
  return `${text.phases[kind]}${try_}, ${formatTime((from - zero) / 1e6)} · ${length} · ${text.basis[basis]}`
}

function FindingFlags({
  model,
  place,
  open,
  onOpen,
}: { model: SheetModel; place: Place } & Pick<SpineProps, 'open' | 'onOpen'>) {
  const say = useSentence()
  const flags = (model.report?.findings ?? []).flatMap(({ span, title }, index): Flag[] => {
    if (span === null) return []
    const key = `finding:${index + 1}`
    const words = text.spine.flag(index + 1, say(title))
    const at = place((Math.max(model.zero, span.from) - model.zero) / 1e6)
    return [{ key, mark: `${index + 1}`, words, at, pressed: open === key, onPress: () => onOpen(key) }]
  })
  return <FlagRow name={text.spine.flags} flags={flags} />
}

function PinFlags({ model, place, at, pins }: { model: SheetModel; place: Place } & Pick<SpineProps, 'at' | 'pins'>) {
  const flags = pins.map(({ time, text: words }): Flag => {
    const seconds = (time - model.zero) / 1e6
    return {
      key: `${time}${words}`,
      mark: '✎',
      words: `${formatTime(seconds, 1)}: ${words}`,
      at: place(seconds),
      pressed: at !== null && isAt(seconds, at),
      onPress: () => changeSheet({ at: seconds }),
    }
  })
  return <FlagRow name={text.pins.title} flags={flags} />
}

function FaultLanes({
  model,
  place,
  open,
  onOpen,
}: { model: SheetModel; place: Place } & Pick<SpineProps, 'open' | 'onOpen'>) {
  const [all, setAll] = useState(false)
  const total = model.groups.reduce((sum, { lanes }) => sum + lanes.length, 0)
  let left = all ? total : FEW_LANES
  return (
    <>
      {model.groups.map((group, index) => {
        const lanes = group.lanes.slice(0, Math.max(0, left))
        left -= lanes.length
        return lanes.length === 0 ? null : (
          <LaneBlock
            key={`${group.title}${index}`}
            group={{ ...group, lanes }}
            place={place}
            open={open}
            onOpen={onOpen}
          />
        )
      })}
      {total > FEW_LANES && (
        <button type="button" class="plain more-lanes" onClick={() => setAll(!all)}>
          {all ? text.spine.fewer : text.spine.all(total)}
        </button>
      )}
    </>
  )
}

function LaneBlock({
  group,
  place,
  open,
  onOpen,
}: { group: LaneGroup; place: Place } & Pick<SpineProps, 'open' | 'onOpen'>) {
  const { title, probable, lanes } = group
  const say = useSentence()
  const root = say(title ?? '')
  return (
    <div class={title === null ? 'lanes' : 'lanes rooted'}>
      {title !== null && <p class="root">{probable ? text.spine.root(root) : text.spine.rootOpen(root)}</p>}
      {lanes.map((lane) => (
        <LaneRow key={lane.key} lane={lane} place={place} chosen={open === lane.key} onOpen={onOpen} />
      ))}
    </div>
  )
}

function LaneRow({
  lane,
  place,
  chosen,
  onOpen,
}: {
  lane: Lane
  place: Place
  chosen: boolean
  onOpen: (key: string) => void
}) {
  const counts = lane.spans.map(({ count }) => count ?? 0)
  const most = Math.max(0, ...counts)
  const spans = joined(lane.spans, place)
  return (
    <div class="lane">
      <button type="button" class="lane-name" aria-pressed={chosen} onClick={() => onOpen(lane.key)}>
        <span class="lane-code">
          {lane.spn}/{lane.fmi}
        </span>
        <span class="lane-words">{lane.name}</span>
        <span class="lane-note">
          {[lane.follows ? text.spine.consequence : '', most > 0 ? text.spine.occurrences(most) : '']
            .filter(Boolean)
            .join(' · ')}
        </span>
      </button>
      <div class="lane-track">
        {spans.map((span) => {
          const start = Math.max(0, place(span.from))
          const end = Math.min(100, place(span.to))
          if (end < 0 || start > 100) return null
          return (
            <span
              key={span.from}
              class={span.cleared ? 'on cleared' : 'on'}
              style={{ left: `${start}%`, width: `${Math.max(0, end - start)}%` }}
              title={`${formatTime(span.from)} – ${span.cleared ? formatTime(span.to) : text.spine.stillOn}`}
            />
          )
        })}
      </div>
    </div>
  )
}

/** Spans that lie on one pixel become one: a picture of a thousand costs no more than it shows. */
function joined(spans: readonly LaneSpan[], place: Place): readonly LaneSpan[] {
  const result: LaneSpan[] = []
  for (const span of spans) {
    const last = result.at(-1)
    if (last !== undefined && place(span.from) - place(last.to) < 0.15) {
      result[result.length - 1] = { ...last, to: Math.max(last.to, span.to), cleared: span.cleared }
    } else result.push(span)
  }
  return result
}

function Gaps({ name, gaps, place }: { name: string; gaps: readonly SpineGap[]; place: Place }) {
  const say = useSentence()
  if (gaps.length === 0) return null
  return (
    <Row label={name}>
      {gaps.map(({ from, to, words }) => {
        const start = Math.max(0, place(from))
        const end = Math.min(100, place(to))
        if (end < 0 || start > 100) return null
        return (
          <span
            key={`${from}${words}`}
            class="gap"
            role="img"
            aria-label={say(words)}
            title={say(words)}
            style={{ left: `${start}%`, width: `${Math.max(0, end - start)}%` }}
          />
        )
      })}
    </Row>
  )
}
