import type { SourceInfo } from '@firstcrank/feed'
import { describe, expect, it } from 'vitest'
import { successorOf, watchedIn } from './live-successor.js'

const source = (id: string, title: string, more: object = {}): SourceInfo =>
  ({ id, title, state: 'live', replay: null, ...more }) as unknown as SourceInfo
const watched = { id: 'live-1', title: 'standard input' }

describe('a source that is watched', () => {
  it('is known by its title, unless it is a replay', () => {
    expect(watchedIn([source('live-1', 'standard input')], 'live-1')).toEqual(watched)
    expect(watchedIn([source('replay-1', 'bends.log', { replay: {} })], 'replay-1')).toBeNull()
    expect(watchedIn([], 'live-1')).toBeNull()
  })

  it('goes on as the one of the same title once it is gone', () => {
    expect(successorOf([source('live-2', 'standard input'), source('live-3', 'tcp://a:1')], watched)).toBe('live-2')
    expect(successorOf([source('live-2', 'standard input', { state: 'waiting' })], watched)).toBe('live-2')
  })

  it('stays where it is there, even ended, and where no other or more than one could be meant', () => {
    const one = source('live-2', 'standard input')
    expect(successorOf([source('live-1', 'standard input', { state: 'ended' }), one], watched)).toBeNull()
    expect(successorOf([], watched)).toBeNull()
    expect(successorOf([one, source('live-3', 'standard input')], watched)).toBeNull()
    expect(successorOf([source('live-2', 'standard input', { state: 'ended' })], watched)).toBeNull()
    expect(successorOf([source('replay-1', 'standard input', { replay: {} })], watched)).toBeNull()
  })
})
