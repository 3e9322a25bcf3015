/** The recording that is open: its source, what is known of it, and the report once there is one. */
import type { Report } from '@firstcrank/analysis'
import { FeedError, type Progress, type RecordingInfo } from '@firstcrank/feed'
import { useEffect, useState } from 'preact/hooks'
import { findFile } from './find-file.js'
import { noteFound } from './kept-files.js'
import { openLog, type Source } from './open.js'
import { serverSource } from './server.js'

/** What is known of the open recording. */
export interface OpenRun {
  readonly id: string
  readonly name: string
  readonly state: 'opening' | 'reading' | 'ready' | 'failed'
  readonly source: Source | null
  readonly info: RecordingInfo | null
  readonly report: Report | null
  readonly progress: Progress | null
  /** Of a failed one: a code and what happened. */
  readonly failure: { readonly code: string; readonly detail: string } | null
}

/** Milliseconds between looks at a log that is being read, and before its first frame is known. */
const LOOK_AGAIN = 400
const LOOK_FIRST = 50
/** Milliseconds the judging is put off for: what answers the plots is busy while it judges. */
const PICTURE_FIRST = 150

/** A run of which nothing is known yet. */
export const opening = (id: string): OpenRun => ({
  id,
  name: id.slice(id.indexOf(':') + 1),
  state: 'opening',
  source: null,
  info: null,
  report: null,
  progress: null,
  failure: null,
})

/** Opens a run by its id: `sample:FILE`, `file:ID`, or `run:ID` of a server. */
export function useRun(id: string): OpenRun {
  const [run, setRun] = useState(() => opening(id))
  useEffect(() => {
    const left = new AbortController()
    let source: Source | undefined
    let shown = opening(id)
    const show = (change: Partial<OpenRun>): void => {
      if (left.signal.aborted) return
      shown = { ...shown, ...change }
      setRun(shown)
    }
    const fail = (error: unknown): void => {
      show({ state: 'failed', failure: failureOf(error) })
      if (!left.signal.aborted) noteRun(shown).catch(() => undefined)
    }
    setRun(shown)
    const start = async (): Promise<void> => {
      const found = await findSource(id, left.signal)
      if (left.signal.aborted) return found.source.close()
      source = found.source
      show({ name: found.name, source, state: 'reading' })
      await follow(source, show, () => left.signal.aborted)
      if (!left.signal.aborted) await noteRun(shown)
    }
    start().catch(fail)
    return () => {
      left.abort()
      source?.close()
    }
  }, [id])
  return run.id === id ? run : opening(id)
}

/** What went wrong, as a code and in words. */
export function failureOf(error: unknown): NonNullable<OpenRun['failure']> {
  const code = error instanceof FeedError ? error.code : 'not-found'
  return { code, detail: error instanceof Error ? error.message : String(error) }
}

/** Asks again and again while the log is read; then for the report. */
export async function follow(
  source: Source,
  show: (change: Partial<OpenRun>) => void,
  gone: () => boolean,
): Promise<void> {
  const stop = source.onProgress((progress) => show({ progress }))
  try {
    for (;;) {
      const info = await source.info()
      if (gone()) return
      if (info.from !== null) show({ info })
      if (info.complete) break
      await wait(info.from === null ? LOOK_FIRST : LOOK_AGAIN)
    }
    await wait(PICTURE_FIRST)
    const report = await source.report().catch((error: unknown) => {
      if (error instanceof FeedError && error.code === 'not-found') return null
      throw error
    })
    show({ report, state: 'ready' })
  } finally {
    stop()
  }
}

/** Notes for the list of runs what was found in a log of this browser. */
export async function noteRun(run: OpenRun): Promise<void> {
  if (run.id.startsWith('file:')) await noteFound(run.id.slice(5), summaryOf(run))
}

function wait(milliseconds: number): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, milliseconds))
}

async function findSource(id: string, left: AbortSignal): Promise<{ readonly source: Source; readonly name: string }> {
  if (id.startsWith('run:')) return serverSource(id, left)
  const { file, name } = await findFile(id, left)
  return { source: openLog(file, name), name }
}

function summaryOf({ info, report, failure }: OpenRun): Parameters<typeof noteFound>[1] {
  if (failure?.code === 'not-a-log') return { level: 'unreadable' }
  if (info === null || info.from === null || info.to === null) return {}
  return {
    verdict: report?.conclusion.verdict ?? '',
    level: report?.findings.some(({ urgency }) => urgency === 'stop') ? 'stop' : (report?.conclusion.level ?? ''),
    from: info.dated ? info.from : null,
    seconds: (info.to - info.from) / 1e6,
    faults: new Set(
      info.faults.filter(({ state }) => state === 'active').map(({ sa, spn, fmi }) => `${sa}.${spn}.${fmi}`),
    ).size,
  }
}
