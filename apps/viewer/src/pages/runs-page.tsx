/** The list of runs: what this device has opened, the server's library where there is one, practice logs. */
import type { Run } from '@firstcrank/feed'
import { useEffect, useState } from 'preact/hooks'
import { PickBar, PickBox } from '../parts/compare-pick.js'
import { Stamp, type StampKind } from '../parts/stamp.js'
import { dropKept, type KeptFile, listKept } from '../recording/kept-files.js'
import { findServer, listRuns, watchLibrary } from '../recording/server.js'
import { formatBytes } from '../state/quantity.js'
import { formatRoute, runRoute } from '../state/route.js'
import { formatDuration, formatMoment } from '../state/time.js'
import { sampleTitle } from '../words/labels.js'
import { text } from '../words/text.js'

/** The page. */
export function RunsPage({ onFile }: { readonly onFile: (file: File) => Promise<void> }) {
  const [served, setServed] = useState(false)
  useEffect(() => {
    document.title = `${text.runs.title} · ${text.name}`
    findServer().then(
      (server) => setServed(server !== null),
      () => undefined,
    )
  }, [])
  const choose = (event: Event & { currentTarget: HTMLInputElement }): void => {
    const [file] = event.currentTarget.files ?? []
    if (file !== undefined) onFile(file).catch(() => undefined)
  }
  return (
    <main id="main" class="sheet runs">
      <h1>{text.runs.title}</h1>
      <p class="lead">{served ? text.runs.leadServer : text.runs.lead}</p>
      <div class="drop">
        <p class="drop-words">{text.runs.drop}</p>
        <p class="faint">{text.runs.dropFormats}</p>
        <label class="button">
          {text.runs.choose}
          <input type="file" class="hidden" accept=".log,.txt,.gz,.candump" onChange={choose} />
        </label>
      </div>
      {served ? <Library /> : <Kept />}
      <Samples />
    </main>
  )
}

interface Row {
  /** As in an address: `file:ID`. */
  readonly key: string
  /** Microseconds of its beginning; null where the log has no date. */
  readonly from: number | null
  readonly href: string
  readonly name: string
  readonly detail: string
  readonly date: string
  readonly length: string
  readonly faults: string
  readonly verdict: string
  readonly level: string
  readonly forget?: () => void
}

function RunTable({ rows }: { readonly rows: readonly Row[] }) {
  const { columns } = text.runs
  return (
    <table class="run-table card-table">
      <thead>
        <tr>
          <th scope="col">{columns.verdict}</th>
          <th scope="col">{columns.name}</th>
          <th scope="col">{columns.date}</th>
          <th scope="col">{columns.length}</th>
          <th scope="col">{columns.faults}</th>
          <th scope="col">
            <span class="hidden">{text.pick.column}</span>
          </th>
        </tr>
      </thead>
      <tbody>
        {rows.map((row) => (
          <tr key={row.key}>
            <td>
              {row.level in text.sheet.stamps ? (
                <Stamp
                  kind={row.level as StampKind}
                  word={text.sheet.stamps[row.level as keyof typeof text.sheet.stamps]}
                />
              ) : (
                <span class="faint">{row.level === 'reading' ? text.runs.reading : text.runs.notRead}</span>
              )}
            </td>
            <td>
              <a href={row.href}>{row.name}</a>
              <span class="run-words">{row.verdict || row.detail}</span>
            </td>
            <td data-name={columns.date}>{row.date}</td>
            <td data-name={columns.length}>{row.length}</td>
            <td data-name={columns.faults}>{row.faults}</td>
            <td>
              <PickBox id={row.key} name={row.name} />
              {row.forget !== undefined && (
                <button type="button" class="plain" aria-label={text.runs.forget(row.name)} onClick={row.forget}>
                  {text.runs.forgetShort}
                </button>
              )}
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  )
}

function Kept() {
  const [files, setFiles] = useState<readonly KeptFile[] | null>(null)
  const load = (): void => {
    listKept().then(setFiles, () => setFiles([]))
  }
  useEffect(load, [])
  const rows = (files ?? []).map(
    (file): Row => ({
      key: `file:${file.id}`,
      from: file.from,
      href: formatRoute(runRoute(`file:${file.id}`)),
      name: file.name,
      detail: formatBytes(file.bytes),
      date: file.from === null ? (file.seconds === null ? '' : text.runs.undated) : formatMoment(file.from),
      length: file.seconds === null ? '' : formatDuration(file.seconds),
      faults: file.faults === null ? '' : `${file.faults}`,
      verdict: file.verdict,
      level: file.level,
      forget: () => {
        dropKept(file.id).then(load, load)
      },
    }),
  )
  return (
    <section aria-labelledby="kept-title">
      <h2 id="kept-title">{text.runs.kept}</h2>
      {rows.length === 0 ? <p class="note">{files === null ? '' : text.runs.keptNone}</p> : <RunTable rows={rows} />}
      <PickBar runs={rows} />
    </section>
  )
}

/** Milliseconds that typing, or news of the library, has to rest. */
const TYPING = 150

function Library() {
  const [words, setWords] = useState('')
  const [runs, setRuns] = useState<readonly Run[] | 'failed' | null>(null)
  const [revision, setRevision] = useState(0)
  useEffect(() => watchLibrary(setRevision), [])
  useEffect(() => {
    let gone = false
    const timer = setTimeout(() => {
      listRuns(words).then(
        (page) => !gone && setRuns(page.runs),
        () => !gone && setRuns('failed'),
      )
    }, TYPING)
    return () => {
      gone = true
      clearTimeout(timer)
    }
  }, [words, revision])
  const rows = runs === 'failed' || runs === null ? [] : runs.map(rowOf)
  return (
    <section aria-labelledby="library-title">
      <h2 id="library-title">{text.runs.library}</h2>
      <label class="field">
        {text.runs.search}
        <input type="search" value={words} onInput={(event) => setWords(event.currentTarget.value)} />
      </label>
      {runs === 'failed' && <p role="alert">{text.runs.libraryFailed}</p>}
      {runs !== null && runs !== 'failed' && rows.length === 0 && (
        <p class="note">{words === '' ? text.runs.libraryNone : text.runs.noMatch}</p>
      )}
      {rows.length > 0 && <RunTable rows={rows} />}
      <PickBar runs={rows} />
    </section>
  )
}

function rowOf({ id, title, vehicle, file, summary, verdict, state }: Run): Row {
  const seconds = summary?.from != null && summary.to !== null ? (summary.to - summary.from) / 1e6 : null
  return {
    key: `run:${id}`,
    from: summary?.dated ? summary.from : null,
    href: formatRoute(runRoute(`run:${id}`)),
    name: title || file.name,
    detail: vehicle,
    date: summary?.dated && summary.from !== null ? formatMoment(summary.from) : text.runs.undated,
    length: seconds === null ? '' : formatDuration(seconds),
    faults: summary === null ? '' : `${summary.faultCount}`,
    verdict: [vehicle, verdict?.verdict].filter(Boolean).join(': '),
    level: state === 'reading' ? 'reading' : verdict?.stop ? 'stop' : (verdict?.level ?? ''),
  }
}

function Samples() {
  const [list, setList] = useState<readonly { readonly file: string; readonly bytes: number }[]>([])
  const [asked, setAsked] = useState(false)
  useEffect(() => {
    fetch('samples/list.json')
      .then((response) => response.json())
      .then(setList, () => undefined)
      .finally(() => setAsked(true))
  }, [])
  return (
    <section aria-labelledby="samples-title">
      <h2 id="samples-title">{text.runs.samples}</h2>
      <p>{text.runs.samplesLead}</p>
      {asked && list.length === 0 && <p class="note">{text.runs.samplesNone}</p>}
      <ul class="samples">
        {list.map(({ file, bytes }) => (
          <li key={file}>
            <a class="sample" href={formatRoute(runRoute(`sample:${file}`))}>
              <strong>{sampleTitle(file)}</strong>
              <span class="faint">{formatBytes(bytes)}</span>
            </a>
          </li>
        ))}
      </ul>
    </section>
  )
}
