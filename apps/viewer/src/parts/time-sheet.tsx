/** The time sheet: spine and plots on one axis, one cursor, one mark, and the hands that move them. */
import type { MomentValue, PinnedNote } from '@firstcrank/feed'
import { useCallback, useEffect, useMemo, useRef, useState } from 'preact/hooks'
import { watchGestures } from '../charts/gestures.js'
import { GUTTER } from '../charts/plot.js'
import type { Source } from '../recording/open.js'
import type { OpenCard } from '../recording/use-card.js'
import { changeSheet } from '../state/location.js'
import type { SheetState, Window } from '../state/route.js'
import { useSettings } from '../state/settings.js'
import { clampWindow, moveWindow, zoomWindow } from '../state/window.js'
import { text } from '../words/text.js'
import { CursorBar } from './cursor-bar.js'
import type { SheetModel } from './model.js'
import { notesAt, PinnedNotes } from './pinned-notes.js'
import { limitBands, plotSignals } from './plot-signals.js'
import { PlotView, valueText } from './plot-view.js'
import { QuestionBar } from './question-bar.js'
import { TimeSpine } from './time-spine.js'
import { useWidth } from './use-width.js'
import { useMoment, useWindow } from './use-window.js'

interface TimeSheetProps {
  readonly model: SheetModel
  readonly state: SheetState
  readonly source: Source | null
  /** What is written to the run; null until it is there. */
  readonly card: OpenCard | null
  readonly onOpen: (key: string) => void
  /** Shows a fault in the plots, around its onset. */
  readonly onFault: (key: string) => void
}

/** Height of one plot, by how many there are, in pixels. */
const plotHeight = (count: number): number => (count <= 2 ? 210 : count <= 4 ? 160 : 128)

const NO_PINS: readonly PinnedNote[] = []

/** Spine and plots. */
export function TimeSheet({ model, state, source, card, onOpen, onFault }: TimeSheetProps) {
  const { window, length, zero, info } = model
  const { theme, units } = useSettings()
  const [host, width] = useWidth()
  const [hover, setHover] = useState<number | null>(null)
  const [writing, setWriting] = useState(false)
  const [chosen, setChosen] = useState<readonly [number, number] | null>(null)
  const track = Math.max(1, width - GUTTER.left - GUTTER.right)
  const { table, plots } = model
  // Not of the whole model, which is another with each window: the lines would be made anew for each.
  const signals = useMemo(() => plots.map((ids) => plotSignals(model, ids, units)), [table, plots, units])
  const asked = useMemo(() => dedupe(signals.flat()), [signals])
  const version = `${info.epoch}/${info.complete}/${info.to}`
  const columns = useWindow(source, asked, window, zero, track, version)
  const at = hover === null ? state.at : window.from + (window.to - window.from) * hover
  const values = useMoment(source, asked, zero, at)
  const marked = useMoment(source, asked, zero, state.mark)
  const live = useRef(window)
  live.current = window

  const setWindow = useCallback(
    (next: Window) => {
      live.current = next
      changeSheet({ window: next.to - next.from >= length * 0.999 ? null : next })
    },
    [length],
  )
  const timeAt = (place: number): number => live.current.from + (live.current.to - live.current.from) * place

  useEffect(() => {
    const element = host.current
    if (element === null) return
    return watchGestures(
      element,
      { left: GUTTER.left, right: GUTTER.right, wheel: false },
      {
        hover: setHover,
        pick: (place) => changeSheet({ at: timeAt(place) }),
        choosing: setChosen,
        choose: ([from, to]) => setWindow(clampWindow({ from: timeAt(from), to: timeAt(to) }, length)),
        move: (share) => setWindow(moveWindow(live.current, share, length)),
        zoom: (factor, place) => setWindow(zoomWindow(live.current, factor, place, length)),
      },
    )
  }, [length, setWindow])

  const cursor = at !== null && at >= window.from && at <= window.to ? at : null
  const left = (time: number): string => `${GUTTER.left + ((time - window.from) / (window.to - window.from)) * track}px`
  const ready = width > 0
  return (
    <div class="time-sheet">
      <QuestionBar model={model} state={state} onFault={onFault} />
      <CursorBar
        model={model}
        at={at}
        mark={state.mark}
        valueWords={asked.map(({ id, signal, scale }) =>
          spoken(signal.name, valueText(values.get(id), signal, scale), scale.unit),
        )}
        notes={card === null || at === null ? [] : notesAt(card, at, zero).map((note) => note.text)}
        writing={writing}
        onWrite={card === null || state.at === null ? null : () => setWriting(!writing)}
        onWindow={setWindow}
      />
      {card !== null && state.at !== null && writing && (
        <PinnedNotes card={card} at={state.at} zero={zero} onDone={() => setWriting(false)} />
      )}
      <div ref={host} class="stack">
        {ready && (
          <TimeSpine
            model={model}
            width={width}
            open={state.open}
            onOpen={onOpen}
            at={state.at}
            pins={card?.card.pins ?? NO_PINS}
          />
        )}
        {ready &&
          signals.map((group, index) => (
            <PlotView
              key={group.map(({ id }) => id).join()}
              signals={group}
              columns={columns}
              values={values}
              marked={marked as ReadonlyMap<string, MomentValue | null>}
              cursorSet={at !== null}
              window={window}
              zero={zero}
              width={width}
              height={plotHeight(signals.length)}
              theme={theme}
              bands={limitBands(model, group)}
              onRemove={(id) => changeSheet({ plots: without(model.plots, index, id), preset: null }, 'push')}
            />
          ))}
        {state.mark !== null && state.mark >= window.from && state.mark <= window.to && (
          <div class="cursor-line mark" style={{ left: left(state.mark) }} />
        )}
        {cursor !== null && <div class="cursor-line" style={{ left: left(cursor) }} />}
        {chosen !== null && (
          <div
            class="chosen"
            style={{ left: `${GUTTER.left + chosen[0] * track}px`, width: `${(chosen[1] - chosen[0]) * track}px` }}
          />
        )}
      </div>
      {signals.length === 0 && <p class="note">{text.plots.none}</p>}
      {model.missing.length > 0 && <p class="note">{text.plots.missing(model.missing.join(', '))}</p>}
      {columns.failed !== null && (
        <p class="note" role="alert">
          {columns.failed}
        </p>
      )}
    </div>
  )
}

function dedupe<T extends { readonly id: string }>(list: readonly T[]): readonly T[] {
  return [...new Map(list.map((entry) => [entry.id, entry])).values()]
}

function spoken(name: string, value: string, unit: string): string {
  return `${name} ${value}${unit === '' ? '' : ` ${unit}`}`
}

function without(plots: SheetModel['plots'], index: number, id: string): readonly (readonly string[])[] {
  return plots
    .map((ids, at) => (at === index ? ids.filter((other) => other !== id) : ids))
    .filter((ids) => ids.length > 0)
}
