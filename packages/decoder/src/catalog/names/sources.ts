/**
 * Who says so, for the name tables. A table keeps its names apart from its sources, so that a program
 * that only shows names need not load them.
 */
import { publicationsAmong, type SourceId } from '../sources.js'

/** The codes that each source names. */
export type SourceLists = Readonly<Partial<Record<SourceId, readonly number[]>>>

/** The sources that name a code: `['memory']` where no published one does. */
export function sourcesOf(lists: SourceLists, code: number): SourceId[] {
  const sources = (Object.keys(lists) as SourceId[]).filter((id) => lists[id]?.includes(code))
  return sources.length > 0 ? sources : ['memory']
}

/** How many independent published sources name a code. 0 means from memory alone. */
export function confirmations(lists: SourceLists, code: number): number {
  return publicationsAmong(sourcesOf(lists, code))
}
