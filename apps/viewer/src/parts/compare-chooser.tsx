/** The two runs, as on a form: which they are, how far they have been read, and how to choose others. */
import type { RunSide } from '@firstcrank/analysis'
import { useState } from 'preact/hooks'
import { type FileFailure, takeFile } from '../recording/take-file.js'
import type { PairState } from '../recording/use-pair.js'
import type { OpenRun } from '../recording/use-run.js'
import { changeCompare, currentRoute } from '../state/location.js'
import { type CompareState, formatRoute, PLAIN_COMPARE, runRoute } from '../state/route.js'
import { formatDuration, formatMoment } from '../state/time.js'
import { compareText } from '../words/compare-text.js'
import { text } from '../words/text.js'
import { RunSearch } from './run-search.js'
import { failureWords } from './taken-files.js'

const words = compareText.choose

interface ChooserProps {
  readonly state: CompareState
  readonly pair: PairState
}

/** Both boxes. */
export function CompareChooser({ state, pair }: ChooserProps) {
  const [failure, setFailure] = useState<FileFailure | null>(null)
  const choose = (side: RunSide, id: string): void => changeRuns({ [side]: id })
  const open = (side: RunSide, file: File): void => {
    setFailure(null)
    takeFile(file).then((taken) => (typeof taken === 'string' ? choose(side, taken) : setFailure(taken)), reportError)
  }
  const box = (side: RunSide) => (
    <SideBox
      side={side}
      id={state[side]}
      run={pair[side]}
      version={`${state.before} ${state.after}`}
      onChoose={(id) => choose(side, id)}
      onFile={(file) => open(side, file)}
    />
  )
  return (
    <section class="compare-runs" aria-label={words.label}>
      {box('before')}
      <button
        type="button"
        class="swap"
        aria-label={words.swapWhole}
        disabled={state.before === null && state.after === null}
        onClick={() => changeRuns({ before: state.after, after: state.before })}
      >
        <span aria-hidden="true">⇄</span> {words.swap}
      </button>
      {box('after')}
      {failure !== null && (
        <p class="note" role="alert">
          <strong>{failure.name}</strong>: {failureWords(failure.code)}
        </p>
      )}
    </section>
  )
}

/** Other runs: what was looked at of the ones before no longer means anything. */
export function changeRuns(runs: Partial<Pick<CompareState, RunSide>>): void {
  const route = currentRoute()
  if (route.page !== 'compare') return
  // The address as it is now: a file may have been taken in meanwhile.
  const { before, after, preset } = route.compare
  changeCompare({ ...PLAIN_COMPARE, before, after, preset, ...runs }, 'push')
}

interface SideProps {
  readonly side: RunSide
  readonly id: string | null
  readonly run: OpenRun | null
  readonly version: string
  readonly onChoose: (id: string) => void
  readonly onFile: (file: File) => void
}

function SideBox({ side, id, run, version, onChoose, onFile }: SideProps) {
  const take = (event: Event & { currentTarget: HTMLInputElement }): void => {
    const [file] = event.currentTarget.files ?? []
    event.currentTarget.value = ''
    if (file !== undefined) onFile(file)
  }
  return (
    <div class={`compare-side side-${side}`}>
      <h2>
        <LineSample side={side} />
        {compareText.sides[side]}
      </h2>
      <div class="side-choice">
        <RunSearch label={words.run[side]} name={side} id={id} version={version} onChoose={onChoose} />
        <label class="file-button">
          {words.file}
          <input
            type="file"
            class="hidden"
            accept=".log,.txt,.gz,.candump"
            aria-label={words.fileFor[side]}
            onChange={take}
          />
        </label>
      </div>
      <p class="side-facts" role="status">
        {run === null ? '' : factsOf(run)}
      </p>
      {id !== null && (
        <p class="side-link">
          <a href={formatRoute(runRoute(id))}>{words.open}</a>
        </p>
      )}
    </div>
  )
}

/** When and how long, or how far it has been read. */
function factsOf({ info, progress, state }: OpenRun): string {
  if (state === 'failed') return ''
  if (state !== 'ready') {
    if (progress?.complete) return compareText.state.judging
    return compareText.state.reading(progress?.total ? Math.floor((progress.bytes / progress.total) * 100) : 0)
  }
  if (info === null || info.from === null || info.to === null) return ''
  const date = info.dated ? formatMoment(info.from) : text.sheet.noDate
  return `${date} · ${formatDuration((info.to - info.from) / 1e6)}`
}

/** How a run's line is drawn in every plot below. */
export function LineSample({ side }: { readonly side: RunSide }) {
  return (
    <svg class={`line-sample line-${side}`} width="30" height="10" aria-hidden="true">
      <line
        x1="0"
        y1="5"
        x2="30"
        y2="5"
        stroke="currentColor"
        stroke-width="3"
        stroke-dasharray={side === 'before' ? '7 4' : ''}
      />
    </svg>
  )
}
