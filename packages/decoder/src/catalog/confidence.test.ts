import { describe, expect, test } from 'vitest'
import { findGroup, findSignals } from './built-in.js'
import { CONFIDENCES, type Confidence, confidenceInWords, confidenceOf } from './confidence.js'
import type { SourceId } from './sources.js'

describe('confidence', () => {
  test.each<[readonly SourceId[], number | undefined, Confidence, string]>([
    [['truck', 'course'], 2, 'confirmed', 'confirmed by 2 independent sources'],
    [['truck', 'marine', 'course'], 3, 'confirmed', 'confirmed by 3 independent sources'],
    [['course', 'recording'], 1, 'one-source', 'one source'],
    [['list', 'recording', 'memory'], 0, 'recordings', 'from memory, agrees with recordings'],
    [['list', 'memory'], 0, 'memory', 'from memory'],
    [['memory'], 0, 'memory', 'from memory'],
    [['own'], 0, 'own', 'your own definition'],
    // A group: whoever names it counts, and one hand once.
    [
      ['truck', 'truck-fms', 'course', 'list', 'recording'],
      undefined,
      'confirmed',
      'confirmed by 2 independent sources',
    ],
    [['list', 'course-lab'], undefined, 'one-source', 'one source'],
    [['recording', 'memory'], undefined, 'recordings', 'from memory, agrees with recordings'],
  ])('%j, confirmed %s: %s', (sources, confirmed, level, words) => {
    const claim = confirmed === undefined ? { sources } : { sources, confirmed }
    expect(confidenceOf(claim)).toBe(level)
    expect(confidenceInWords(claim)).toBe(words)
    expect(CONFIDENCES).toContain(level)
  })

  test('of what is in the catalogue', () => {
    const [engineSpeed] = findSignals(190)
    if (!engineSpeed) throw new Error('SPN 190 is gone')
    expect(confidenceInWords(engineSpeed.signal)).toBe('confirmed by 2 independent sources')
    const dm60 = findGroup(64474)
    if (!dm60) throw new Error('DM60 is gone')
    expect(confidenceInWords(dm60)).toBe('from memory')
  })
})
