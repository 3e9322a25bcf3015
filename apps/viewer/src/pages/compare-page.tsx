/** Two runs before and after a repair: the plain statement first, then all that it stands on. */
import type { Comparison } from '@firstcrank/analysis'
import { useEffect, useMemo, useState } from 'preact/hooks'
import { CompareChanges } from '../parts/compare-changes.js'
import { CompareChooser, changeRuns } from '../parts/compare-chooser.js'
import { CompareExposure } from '../parts/compare-exposure.js'
import { CompareFaults } from '../parts/compare-faults.js'
import type { CompareSide, CompareSides } from '../parts/compare-model.js'
import { CompareOverlay } from '../parts/compare-overlay.js'
import { CompareVerdict } from '../parts/compare-verdict.js'
import { CompareVitals } from '../parts/compare-vitals.js'
import { plainModel } from '../parts/model.js'
import { saveFile } from '../parts/save-file.js'
import { failureWords } from '../parts/taken-files.js'
import { loadPart } from '../recording/contact.js'
import { type PairState, usePair } from '../recording/use-pair.js'
import type { OpenRun } from '../recording/use-run.js'
import type { UnitChoice } from '../state/choices.js'
import { type CompareState, compareRoute, formatRoute } from '../state/route.js'
import { useSettings } from '../state/settings.js'
import { compareText } from '../words/compare-text.js'
import { text } from '../words/text.js'

/** A pair of practice recordings: the same truck before and after a repair. */
const PRACTICE = compareRoute('sample:pedal-wiper-before.log.gz', 'sample:pedal-wiper-after.log.gz')

/** The page. */
export function ComparePage({ state }: { readonly state: CompareState }) {
  const { units } = useSettings()
  const pair = usePair(state.before, state.after, state.vouched)
  useEffect(() => {
    document.title = `${compareText.title} · ${text.name}`
  }, [])
  return (
    <main id="main" class="sheet compare">
      <div class="report-bar">
        <h1>{compareText.title}</h1>
        {pair.comparison !== null && <SaveBar comparison={pair.comparison} units={units} />}
      </div>
      {state.before === null && state.after === null && <p class="lead">{compareText.lead}</p>}
      <CompareChooser state={state} pair={pair} />
      <Body state={state} pair={pair} units={units} />
    </main>
  )
}

function SaveBar({ comparison, units }: { readonly comparison: Comparison; readonly units: UnitChoice }) {
  const save = (): void => {
    loadPart(() => import('../recording/render-comparison.js')).then(
      ({ comparisonDocument }) =>
        saveFile(new Blob([comparisonDocument(comparison, units)], { type: 'text/html' }), 'before-and-after.html'),
      (error: unknown) => reportError(error),
    )
  }
  return (
    <>
      <button type="button" onClick={() => print()}>
        {compareText.print}
      </button>
      <button type="button" onClick={save}>
        {compareText.save}
      </button>
    </>
  )
}

interface BodyProps {
  readonly state: CompareState
  readonly pair: PairState
  readonly units: UnitChoice
}

function Body({ state, pair, units }: BodyProps) {
  const { before, after, comparison, failure } = pair
  const sides = useSides(before, after)
  const [anyOrder, setAnyOrder] = useState(false)
  if (state.before === null || state.after === null) return <Empty state={state} />
  if (state.before === state.after) return <p class="notice">{compareText.problems.same}</p>
  if (before?.state === 'failed' || after?.state === 'failed' || failure !== null) return <Failures pair={pair} />
  if (comparison === null || sides === null) {
    const read = before?.state === 'ready' && after?.state === 'ready'
    return (
      <p class="notice" role="status">
        {read ? compareText.state.comparing : compareText.state.waiting}
      </p>
    )
  }
  const notices = <Notices comparison={comparison} state={state} />
  if (isReversed(comparison) && !anyOrder) {
    return (
      <>
        {notices}
        <p>
          <button type="button" onClick={() => setAnyOrder(true)}>
            {compareText.problems.anyOrder}
          </button>
        </p>
      </>
    )
  }
  return (
    <>
      {notices}
      <CompareVerdict comparison={comparison} sides={sides} vouched={state.vouched} />
      <CompareFaults faults={comparison.faults} sides={sides} open={state.open} units={units} />
      <CompareOverlay
        comparison={comparison}
        sides={sides}
        sources={{ before: before?.source ?? null, after: after?.source ?? null }}
        state={state}
      />
      <CompareVitals vitals={comparison.vitals} sides={sides} all={state.all} units={units} />
      <CompareExposure exposure={comparison.exposure} sides={sides} units={units} />
      <CompareChanges changes={comparison.changes} sides={sides} />
    </>
  )
}

/** Both runs as their own pages see them; null until both have been read. */
function useSides(before: OpenRun | null, after: OpenRun | null): CompareSides | null {
  const one = useSide(before)
  const two = useSide(after)
  return useMemo(() => (one === null || two === null ? null : { before: one, after: two }), [one, two])
}

function useSide(run: OpenRun | null): CompareSide | null {
  const { id, info, report } = run ?? { id: '', info: null, report: null }
  return useMemo(() => (info === null ? null : { id, model: plainModel(info, report) }), [id, info, report])
}

function Empty({ state }: { readonly state: CompareState }) {
  const none = state.before === null && state.after === null
  return (
    <div class="notice">
      <p>{none ? compareText.choose.first : compareText.choose.other}</p>
      <p class="faint">{compareText.choose.drop}</p>
      {none && (
        <p>
          <a href={formatRoute(PRACTICE)}>{compareText.choose.practice}</a>
        </p>
      )}
    </div>
  )
}

function Failures({ pair }: { readonly pair: PairState }) {
  const { problems } = compareText
  return (
    <div class="notice" role="alert">
      {(['before', 'after'] as const).map((side) => {
        const run = pair[side]
        if (run?.failure == null) return null
        return (
          <div key={side}>
            <h2>{problems.side[side]}</h2>
            <p class="break">
              <strong>{run.name}</strong>: {failureWords(run.failure.code)}
            </p>
            {run.failure.detail !== '' && <p class="faint">{run.failure.detail}</p>}
          </div>
        )
      })}
      {pair.failure !== null && (
        <>
          <h2>{problems.failed}</h2>
          <p>{failureWords(pair.failure.code)}</p>
          <p class="faint">{pair.failure.detail}</p>
        </>
      )}
    </div>
  )
}

/** Whether the run under "before" is the later one: what it would prove is not what is asked. */
function isReversed({ before: { recording: a }, after: { recording: b } }: Comparison): boolean {
  return a.dated && b.dated && a.from > b.from
}

/** What is odd about the choice of runs. */
function Notices({ comparison, state }: { readonly comparison: Comparison; readonly state: CompareState }) {
  const [a, b] = [comparison.before.recording, comparison.after.recording]
  if (a.from === b.from && a.to === b.to && a.frames === b.frames) {
    return <p class="notice">{compareText.problems.sameContent}</p>
  }
  if (!isReversed(comparison)) return null
  return (
    <p class="notice">
      {compareText.problems.order}{' '}
      <button type="button" onClick={() => changeRuns({ before: state.after, after: state.before })}>
        {compareText.choose.swapWhole}
      </button>
    </p>
  )
}
