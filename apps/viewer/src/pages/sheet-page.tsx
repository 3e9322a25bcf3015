/** The test sheet of a run: its form, the words, and the time sheet. */
import type { Evidence } from '@firstcrank/analysis'
import { useEffect, useMemo, useRef } from 'preact/hooks'
import { FaultPane } from '../parts/fault-pane.js'
import { faultOnset, faultView, plotsOf } from '../parts/fault-view.js'
import { FormBlock } from '../parts/form-block.js'
import { faultMoment, openFinding, type SheetFacts, sheetFacts, useSheetModel } from '../parts/model.js'
import { TimeSheet } from '../parts/time-sheet.js'
import { WordsColumn } from '../parts/words-column.js'
import { useCard } from '../recording/use-card.js'
import type { OpenRun } from '../recording/use-run.js'
import { changeSheet } from '../state/location.js'
import type { SheetState } from '../state/route.js'
import { windowAround } from '../state/window.js'
import { text } from '../words/text.js'

/** The page. */
export function SheetPage({ run, state }: { readonly run: OpenRun; readonly state: SheetState }) {
  const { info, report } = run
  const facts = useMemo(() => info && sheetFacts(info, report), [info, report])
  const model = useSheetModel(facts, state)
  const card = useCard(run.id)
  const plots = useRef<HTMLElement>(null)
  const opened = state.open?.startsWith('fault:') ? state.open : null
  const seeing = useRef(false)
  useOpened(state.open, seeing)
  // Where words and plots do not lie side by side, the plots come into view.
  const showPlots = (): void => {
    if (plots.current !== null && plots.current.getBoundingClientRect().top > innerHeight * 0.6)
      scrollToElement(plots.current)
  }
  // The words do not follow the window: made anew with each, they would make a moving hand stutter.
  const words = useMemo(() => {
    if (facts === null) return null
    const open = (key: string | null): void => openKey(facts, key)
    const see = (evidence: Evidence, from: string | null): void => {
      seeing.current = (from ?? state.open) !== state.open
      seeEvidence(facts, evidence, from ?? state.open)
      showPlots()
    }
    if (opened === null) return <WordsColumn model={facts} open={state.open} onOpen={open} onSee={see} />
    return (
      <FaultPane
        key={opened}
        model={facts}
        open={opened}
        onClose={() => open(null)}
        onOpen={open}
        onSee={see}
        onOnset={(at) => {
          changeSheet({ ...faultView(facts, opened, at), open: opened }, 'push')
          showPlots()
        }}
      />
    )
  }, [facts, state.open])
  if (model === null) return null
  return (
    <main id="main" class="sheet">
      <h1 class="hidden">
        {text.sheet.title}: {run.name}
      </h1>
      <FormBlock run={run} model={model} />
      <div class="columns">
        <section class="words" aria-label={text.sheet.words}>
          {words}
        </section>
        <section ref={plots} class="time" aria-labelledby="time-title">
          <h2 id="time-title" class="hidden">
            {text.sheet.time}
          </h2>
          <BackLink model={model} open={state.open} />
          <TimeSheet
            model={model}
            state={state}
            source={run.source}
            card={card}
            onOpen={(key) => openKey(model, key)}
            onFault={(key) => {
              // Plots were asked for: they stay in view, and the words change only where they stand beside them.
              seeing.current = key !== state.open && innerWidth <= SIDE_BY_SIDE
              changeSheet({ ...faultView(model, key, faultOnset(model, key)), open: key }, 'push')
            }}
          />
        </section>
      </div>
    </main>
  )
}

/** Shows the place a statement rests on: its window, its signals. */
function seeEvidence(model: SheetFacts, { from, to, signals }: Evidence, open: string | null): void {
  changeSheet({ ...placeOf(model, from, to), ...plotsOf(model, signals), open }, 'push')
}

/** Opens a finding or a fault: its words, its stretch of time, its signals. */
function openKey(model: SheetFacts, key: string | null): void {
  if (key === null) return changeSheet({ open: null }, 'push')
  const { finding } = openFinding(model.report, key) ?? {}
  if (finding === undefined)
    return changeSheet({ ...faultView(model, key, faultMoment(model, key)), open: key }, 'push')
  const { span, evidence } = finding
  const place = span === null ? {} : placeOf(model, span.from, span.to)
  const signals = evidence.flatMap((item) => item.signals)
  changeSheet({ ...place, ...plotsOf(model, signals), open: key }, 'push')
}

/** A stretch of time, in microseconds, with room around it. */
function placeOf({ zero, length }: SheetFacts, from: number, to: number): Pick<SheetState, 'window' | 'at'> {
  const [start, end] = [(from - zero) / 1e6, (to - zero) / 1e6]
  return { window: windowAround(start, end, length), at: Math.max(0, start) }
}

function BackLink({ model, open }: { readonly model: SheetFacts; readonly open: string | null }) {
  if (open === null) return null
  const finding = openFinding(model.report, open)
  const target = finding === null ? 'fault-title' : `finding-${finding.number}`
  return (
    <button type="button" class="back back-to-words" onClick={() => focusOn(target)}>
      ← {finding === null ? text.sheet.backToFault : text.sheet.backTo(finding.number)}
    </button>
  )
}

/** Brings what was opened into view, once; not where the plots were asked for. */
function useOpened(open: string | null, seeing: { current: boolean }): void {
  const before = useRef(open)
  useEffect(() => {
    if (before.current === open) return
    before.current = open
    if (seeing.current) {
      seeing.current = false
      return
    }
    const number = open?.match(/^finding:(\d+)$/)?.[1]
    if (number !== undefined) focusOn(`finding-${number}`)
    else if (open?.startsWith('fault:')) focusOn('fault-title')
  }, [open])
}

function focusOn(id: string): void {
  const element = document.getElementById(id)
  if (element === null) return
  const heading = element.matches('h2, h3') ? element : element.querySelector<HTMLElement>('h3')
  heading?.focus({ preventScroll: true })
  scrollToElement(element)
}

/** Width in pixels from which words and plots lie side by side, as in style/sheet.css. */
const SIDE_BY_SIDE = 1060

function scrollToElement(element: Element): void {
  const still = matchMedia('(prefers-reduced-motion: reduce)').matches
  // Side by side, the words scroll by themselves and the page stays where it is.
  const block = innerWidth > SIDE_BY_SIDE ? 'nearest' : 'start'
  element.scrollIntoView({ behavior: still ? 'auto' : 'smooth', block })
}
