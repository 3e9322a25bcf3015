import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import { TOO_SLOW } from './recorder.js'
import { recorderNotices } from './recorder-notice.js'

beforeEach(() => void vi.useFakeTimers())
afterEach(() => void vi.useRealTimers())

function made() {
  const told: string[] = []
  return { told, tell: recorderNotices('can0', (text) => told.push(text)) }
}

test('a slow disk is told of once a minute, as what it is: part is missing', () => {
  const { told, tell } = made()
  for (let i = 0; i < 100; i++) {
    tell('failed', TOO_SLOW)
    tell('recording', '5 lines were not recorded')
    vi.advanceTimersByTime(1_000)
  }
  expect(told).toEqual(Array(2).fill(`part of can0 is not being recorded: ${TOO_SLOW}`))
})

test('a broken disk is told of, and that it works again', () => {
  const { told, tell } = made()
  tell('failed', TOO_SLOW)
  tell('disk-full', 'the disk is full (ENOSPC)')
  tell('recording', '5 lines were not recorded')
  tell('failed', 'no permission (EACCES)')
  tell('recording', '')
  tell('stopped', '')
  expect(told.slice(1)).toEqual([
    'can0 is not being recorded: the disk is full (ENOSPC)',
    'can0 is being recorded again: 5 lines were not recorded',
    'can0 is not being recorded: no permission (EACCES)',
    'can0 is being recorded again',
  ])
})
