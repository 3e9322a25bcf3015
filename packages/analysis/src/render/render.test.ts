import { describe, expect, it, test } from 'vitest'
import { engine, HOSTILE, INVENTED } from '../../../../tests/support/invented-report.js'
import type { Report } from '../report.js'
import { renderHtml } from './html.js'
import { renderMarkdown } from './markdown.js'
import { escapeMarkdown } from './markup.js'
import { renderText, wrapped } from './text.js'

/** Nothing was found, nothing was reported, most was not judged. */
const QUIET: Report = {
  ...INVENTED,
  recording: { ...INVENTED.recording, name: null, dated: false },
  profile: null,
  conclusion: {
    ...INVENTED.conclusion,
    level: 'none-found',
    verdict: 'No fault found in what could be judged: 2 of 4 checks.',
  },
  findings: [],
  next: [],
  faults: [],
  engines: [engine([], [])],
}

const FORMS = [
  ['text', renderText],
  ['html', renderHtml],
  ['md', renderMarkdown],
] as const

describe.each(FORMS)('%s', (_, render) => {
  // A blank that keeps a number and its unit together is a blank.
  const plain = (page: string): string => page.replaceAll('&nbsp;', ' ')
  const shown = plain(render(INVENTED))
  const place = (words: string): number => {
    const found = shown.toLowerCase().indexOf(words.toLowerCase())
    expect(found, words).toBeGreaterThanOrEqual(0)
    return found
  }

  it('has the verdict first, then what to do, then the evidence', () => {
    const order = [
      'Stop. Do not run the engine',
      'Was the first start good?',
      'What is wrong?',
      'What do I check first?',
      'What could not be judged?',
      'What to do next',
      'What was found',
      'Faults the nodes report',
      'Check by hand',
      'Limits used',
    ].map(place)
    expect(order).toEqual([...order].sort((a, b) => a - b))
  })

  it('tells whose limits were used, with their sources', () => {
    expect(shown).toContain('My engine')
    expect(shown).toContain('Manual, page 7')
    expect(shown).toContain('common practice')
  })

  it('tells what was not judged, why, and what to use instead', () => {
    expect(shown).toContain('Thermostat')
    expect(shown).toContain('The engine was never warm.')
    expect(shown).toMatch(/An infrared thermometer/)
    expect(shown).not.toContain('Not judged: the engine')
  })

  it('warns before the step that needs it', () => {
    const todo = shown.slice(place('What to do next'))
    const caution = todo.indexOf('No oil pressure ten seconds after firing')
    expect(caution).toBeGreaterThan(0)
    expect(caution).toBeLessThan(todo.indexOf(INVENTED.next[0].text.slice(0, 20)))
  })

  it('warns before the work by hand that needs it', () => {
    const list = shown.slice(place('Check by hand'))
    const warning = list.indexOf('No oil pressure ten seconds after firing')
    expect(warning).toBeGreaterThan(0)
    expect(warning).toBeLessThan(list.indexOf('A gauge shows the same'))
  })

  it('has the same numbers in other units', () => {
    const us = plain(render(INVENTED, { units: 'us' }))
    expect(us).toContain('1.2 ± 0.6 psi')
    expect(us).toMatch(/8 kPa \(1\.2 psi\)/)
    expect(us).toMatch(/5 °C \(9 °F\)\s+above/)
    expect(shown).not.toContain('psi')
  })

  it('is the same each time', () => {
    expect(render(INVENTED)).toBe(render(INVENTED))
    expect(render(JSON.parse(JSON.stringify(INVENTED)) as Report)).toBe(render(INVENTED))
  })

  it('of a run without findings claims nothing and asks for the work by hand', () => {
    const quiet = render(QUIET)
    expect(quiet).toContain('No fault found in what could be judged')
    expect(quiet).toContain('Go through the checks by')
    expect(quiet).toContain('all limits are defaults')
    expect(quiet).not.toMatch(/undefined|NaN|null|\[object/)
  })

  it('holds no broken value', () => {
    expect(shown).not.toMatch(/undefined|NaN|\[object/)
  })
})

describe('text', () => {
  const lines = renderText(INVENTED).split('\n')

  it('answers everything in its first lines', () => {
    expect(lines.slice(2, 8).join('\n')).toBe(
      [
        'Stop. Do not run the engine: no oil pressure. 1 check failed; 3 of 5 checks',
        'could be judged.',
        'Was the first start good?  No: it started after 2.0 s of cranking, with 1 fault.',
        'What is wrong?             No oil pressure.',
        'What do I check first?     Stop the engine.',
        'What could not be judged?  2 of 5 checks.',
      ].join('\n'),
    )
  })

  it('is no wider than asked for', () => {
    expect(Math.max(...lines.map((line) => [...line].length))).toBeLessThanOrEqual(80)
    const wide = renderText(INVENTED, { width: 100 }).split('\n')
    expect(Math.max(...wide.map((line) => [...line].length))).toBeLessThanOrEqual(100)
    expect(wide.length).toBeLessThan(lines.length)
  })

  it('has boxes to tick', () => {
    expect(lines).toContain('  [ ] Oil filled. (dipstick) See: “Oil pressure comes”.')
    expect(lines.filter((line) => line.includes('[ ]'))).toHaveLength(5)
  })

  it('breaks lines between words, never between a number and its unit', () => {
    expect(wrapped('one two three', '- ', '  ', 9)).toEqual(['- one two', '  three'])
    expect(wrapped('at most 0.2 V here', '', '', 12)).toEqual(['at most', '0.2 V here'])
    expect(wrapped('unbreakable', '', '', 4)).toEqual(['unbreakable'])
    expect(wrapped('', '- ', '', 4)).toEqual(['- '])
  })
})

describe('HTML', () => {
  const page = renderHtml(INVENTED)

  it('ends no line between a number and its unit', () => {
    expect(page).toContain('12.65 ± 0.03&nbsp;V')
    expect(page).toContain('8&nbsp;kPa while')
  })

  it('loads nothing and runs nothing', () => {
    const tags = page.match(/<[^>]+>/g)?.join('\n') ?? ''
    expect(tags).not.toMatch(/^<(?:script|link|iframe|object|embed|img|base|form)\b/im)
    expect(tags).not.toMatch(/\s(?:on\w+|src|href|srcset|action)=/i)
    expect(page).not.toMatch(/@import|url\((?!#hatch\))|https?:/i)
    expect(page).toContain('default-src &#39;none&#39;')
  })

  it('shows text as text, whatever stands in it', () => {
    expect(page).not.toContain(HOSTILE)
    expect(page).toContain('&lt;img src=x onerror=alert(1)&gt; &amp; &quot;run&quot;')
  })

  it('is well formed: every element is closed where it was opened', () => {
    const open: string[] = []
    const empty = new Set(['meta', 'input', 'rect', 'line', 'path'])
    const markup = page.replace(/<style>[\s\S]*?<\/style>/, '').replace('<!DOCTYPE html>', '')
    for (const [, close, name = '', rest = ''] of markup.matchAll(/<(\/?)([a-zA-Z][\w-]*)((?:"[^"]*"|[^">])*)>/g)) {
      if (close) expect(open.pop()).toBe(name)
      else if (!rest.endsWith('/') && !empty.has(name.toLowerCase())) open.push(name)
    }
    expect(open).toEqual([])
  })

  it('uses an id once, and every label and description finds its own', () => {
    const ids = [...page.matchAll(/\sid="([^"]+)"/g)].map(([, id]) => id)
    expect(new Set(ids).size).toBe(ids.length)
    const used = [...page.matchAll(/\s(?:for|aria-labelledby)="([^"]+)"/g)].flatMap(([, list]) => list.split(' '))
    expect(used.length).toBeGreaterThan(3)
    expect(used.filter((id) => !ids.includes(id))).toEqual([])
  })

  it('has one first heading, and leaves no level out', () => {
    const levels = [...page.matchAll(/<h([1-6])/g)].map(([, level]) => Number(level))
    expect(levels.filter((level) => level === 1)).toHaveLength(1)
    levels.forEach((level, index) => {
      expect(level - (levels[index - 1] ?? 0)).toBeLessThanOrEqual(1)
    })
  })

  it('gives every table a caption and heads, and every picture a title and a description', () => {
    const tables = page.match(/<table[\s\S]*?<\/table>/g) ?? []
    expect(tables.length).toBeGreaterThan(3)
    for (const table of tables) {
      expect(table).toMatch(/<caption>[^<]+<\/caption>/)
      expect(table).toMatch(/<th scope="col"/)
      expect(table).toMatch(/<th scope="row"/)
    }
    const pictures = page.match(/<svg[\s\S]*?<\/svg>/g) ?? []
    expect(pictures).toHaveLength(1)
    expect(pictures[0]).toMatch(
      /role="img" aria-labelledby="(\S+) (\S+)"[^>]*><title id="\1">[^<]+<\/title><desc id="\2">[^<]+</,
    )
  })

  it('says in words what the picture shows', () => {
    const [, words = ''] = page.match(/<desc[^>]*>([^<]*)</) ?? []
    expect(words).toContain('cranking 0:06.0 to 0:08.0')
    expect(words).toContain('SPN 100 FMI 1 from Engine 1 (address 0) active 0:13.0 to 0:18.0')
    expect(words).toContain('oil pressure from 0&nbsp;kPa to 12&nbsp;kPa')
  })

  it('breaks a line where a value was no longer in force', () => {
    const [, d = ''] = page.match(/<path d="([^"]*)" fill="none"/) ?? []
    expect(d.match(/M/g)).toHaveLength(2)
  })

  it('shows a limit where it was applied', () => {
    expect(page).toContain('<title>Oil pressure at hot idle: pass from</title>')
  })

  it('says every verdict in words beside its sign', () => {
    expect(page).toMatch(/class="sign fail" aria-hidden="true">✕<\/span> fail/)
    expect(page).toMatch(/class="sign pass" aria-hidden="true">✓<\/span> pass/)
  })

  it('has boxes to tick, each with its label', () => {
    const boxes = page.match(/<input type="checkbox" id="[^"]+"\/>/g) ?? []
    expect(boxes).toHaveLength(5)
  })
})

describe('Markdown', () => {
  const page = renderMarkdown(INVENTED)

  it('shows text as text, whatever stands in it', () => {
    expect(page).toContain(`# First-start test sheet: ${escapeMarkdown(HOSTILE)}`)
    expect(page).not.toContain(HOSTILE)
  })

  test.each([
    ['*a* _b_ `c` [d](e) <f> |g| #h ~i~ \\', '\\*a\\* \\_b\\_ \\`c\\` \\[d\\](e) \\<f\\> \\|g\\| \\#h \\~i\\~ \\\\'],
    ['- a', '\\- a'],
    ['1. a', '1\\. a'],
    ['a\nb', 'a b'],
    ['−40 °C', '−40 °C'],
  ])('escapes %s', (text, escaped) => {
    expect(escapeMarkdown(text)).toBe(escaped)
  })

  it('has task lists and tables with as many cells as heads', () => {
    expect(page).toContain('- [ ] Oil filled. (dipstick)')
    const rows = page.split('\n').filter((line) => line.startsWith('|'))
    expect(rows.length).toBeGreaterThan(8)
    let width = 0
    for (const row of rows) {
      const cells = row.split(/(?<!\\)\|/).length
      if (row.startsWith('| ---') || width === 0) width = cells
      if (row.startsWith('| ---')) expect(cells).toBe(width)
    }
  })
})
