import { describe, expect, test } from 'vitest'
import { label, Metrics } from './metrics.js'

describe('metrics', () => {
  test('are in the OpenMetrics text form: types first, counters as totals, an end', () => {
    const metrics = new Metrics()
    metrics.add('firstcrank_requests', 1, label('status', '2xx'))
    metrics.add('firstcrank_requests', 2, label('status', '2xx'))
    metrics.set('firstcrank_clients', 4)
    const text = metrics.text()
    expect(text).toContain('# TYPE firstcrank_requests counter\n# HELP firstcrank_requests ')
    expect(text).toContain('\nfirstcrank_requests_total{status="2xx"} 3\n')
    expect(text).toContain('\nfirstcrank_clients 4\n')
    expect(text.endsWith('\n# EOF\n')).toBe(true)
    expect(metrics.value('firstcrank_requests', 'status="2xx"')).toBe(3)
  })

  test('forget levels of what is gone', () => {
    const metrics = new Metrics()
    metrics.set('firstcrank_source_lines', 9, label('source', 'a'))
    metrics.clear('firstcrank_source_lines')
    expect(metrics.text()).not.toMatch(/^firstcrank_source_lines\{/m)
  })

  test.each([
    ['a"b', 'x="a\\"b"'],
    ['a\\b', 'x="a\\\\b"'],
    ['a\nb', 'x="a\\nb"'],
  ])('make the label %j safe', (value, expected) => {
    expect(label('x', value)).toBe(expected)
  })
})
