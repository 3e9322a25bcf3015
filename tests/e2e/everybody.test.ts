/** What holds for every page: rules of access in every theme, keys alone, no jumps, no motion unasked, links that last. */
import type { BrowserContext, Page } from 'playwright-core'
import { afterEach, beforeAll, describe, expect, it } from 'vitest'
import { accessibilityProblems, CHROMIUM, useViewer } from '../support/browser.js'

const LAPTOP = { width: 1366, height: 768 }
const PHONE = { width: 390, height: 844 }
const RUN = '#/run/sample:blocked-oil-hose.log'
const PAIR = 'before=sample:pedal-wiper-before.log.gz&after=sample:pedal-wiper-after.log.gz'

/** Address, and what is there when the page is complete. */
const PAGES: readonly (readonly [name: string, address: string, complete: string])[] = [
  ['runs', '#/runs', '.samples a'],
  ['sheet', `${RUN}/sheet`, '.plot canvas'],
  ['finding', `${RUN}/sheet?open=finding:1&at=18`, '.chosen-finding'],
  ['fault', `${RUN}/sheet?open=fault:0.100.1`, 'article.fault'],
  ['fault that came often', '#/run/sample:five-volt-short.log.gz/sheet?open=fault:0.3509.4', 'article.fault tbody'],
  ['notes', `${RUN}/notes`, '.card-fields'],
  ['nodes', `${RUN}/bus?part=nodes`, '[role=tabpanel] tbody tr'],
  ['groups', `${RUN}/bus?part=groups`, '[role=tabpanel] tbody tr'],
  ['load', `${RUN}/bus?part=load`, '.rate-plot canvas'],
  ['events', `${RUN}/bus?part=events`, '[role=tabpanel] tbody tr'],
  ['file', `${RUN}/bus?part=problems`, '[role=tabpanel] .plain-list'],
  ['message', `${RUN}/bus?part=frames&pgn=61444&sa=0&row=200`, '.signals-table'],
  ['report', `${RUN}/report`, '.report-paper table'],
  ['compare', `#/compare?${PAIR}`, '#changes-title'],
  ['live', '#/live', 'pre.command'],
  ['unknown run', '#/run/sample:none.log/sheet', 'h1'],
]

describe.runIf(CHROMIUM !== undefined)('every page', () => {
  const viewer = useViewer()
  let context: BrowserContext

  afterEach(() => context.close())

  const newPage = async (viewport: typeof LAPTOP, reducedMotion: 'reduce' | 'no-preference'): Promise<Page> => {
    context = await viewer.browser.newContext({ viewport, reducedMotion, serviceWorkers: 'block' })
    context.setDefaultTimeout(20_000)
    return context.newPage()
  }
  const goTo = async (page: Page, address: string, complete: string): Promise<void> => {
    await page.goto('about:blank')
    await page.goto(viewer.site.address + address)
    await page.locator(complete).first().waitFor()
  }

  it.each(PAGES)(
    '%s: in every theme, on a laptop and a phone',
    async (_, address, complete) => {
      for (const size of [LAPTOP, PHONE]) {
        const page = await newPage(size, 'no-preference')
        await goTo(page, address, complete)
        for (const theme of ['Night', 'Sun', 'Day']) {
          await page.getByRole('button', { name: theme, exact: true }).click()
          expect(await accessibilityProblems(page), `${theme}, ${size.width}`).toEqual([])
          const wide = await page.evaluate(() => {
            const { scrollWidth, clientWidth } = document.documentElement
            return scrollWidth - clientWidth
          })
          expect(wide, `${theme}, wider than a screen of ${size.width}`).toBeLessThanOrEqual(0)
        }
        if (size === LAPTOP) await context.close()
      }
    },
    90_000,
  )

  it.each(PAGES)(
    '%s: nothing jumps or moves by itself, and what takes keys shows that it has them',
    async (_, address, complete) => {
      const page = await newPage(LAPTOP, 'reduce')
      await page.addInitScript(() => {
        Object.assign(globalThis, { shifted: 0 })
        new PerformanceObserver((list) => {
          const values = list.getEntries().map((entry) => (entry as unknown as { value: number }).value)
          const here = globalThis as unknown as { shifted: number }
          here.shifted += values.reduce((sum, value) => sum + value, 0)
        }).observe({ type: 'layout-shift', buffered: true })
      })
      await goTo(page, address, complete)
      await page.waitForTimeout(400)
      // Up to 0.1 is good: the published limit of cumulative layout shift.
      expect(await page.evaluate(() => (globalThis as unknown as { shifted: number }).shifted)).toBeLessThan(0.1)
      expect(await page.evaluate(() => document.getAnimations().length)).toBe(0)
      const seen = new Set<string>()
      for (let press = 0; press < 40; press++) {
        await page.keyboard.press('Tab')
        const focus = await page.evaluate(() => {
          const outer = document.activeElement
          const element = outer?.shadowRoot?.activeElement ?? outer
          if (element == null || element === document.body) return null
          const rings = [element, element.closest('label, .button, .card')].flatMap((shown) =>
            shown === null ? [] : [getComputedStyle(shown)],
          )
          const { left, top, right, bottom } = element.getBoundingClientRect()
          return {
            what: element.outerHTML.slice(0, 120),
            ring: rings.some(({ outlineStyle, outlineWidth }) => outlineStyle !== 'none' && outlineWidth !== '0px'),
            inSight: right > 0 && bottom > 0 && left < innerWidth && top < innerHeight,
          }
        })
        if (focus === null) break
        expect(focus).toMatchObject({ ring: true, inSight: true })
        seen.add(focus.what)
      }
      expect(seen.size).toBeGreaterThan(5)
    },
  )

  it.each(PAGES)('%s: opened again, the address shows the same view', async (_, address, complete) => {
    const page = await newPage(LAPTOP, 'no-preference')
    await goTo(page, address, complete)
    const view = () =>
      page.evaluate(() => {
        const main = document.querySelector('main')
        return [location.hash, main?.querySelectorAll('canvas').length, main?.textContent]
      })
    // A run is complete when it has been read and judged.
    const settled = async () => {
      await page.locator(complete).first().waitFor()
      if (address.startsWith(RUN)) await page.locator('.reading:empty').waitFor({ state: 'attached' })
      await page.waitForTimeout(800)
    }
    await settled()
    const first = await view()
    await page.reload()
    await settled()
    await expect.poll(view, { timeout: 10_000 }).toEqual(first)
  })
})

describe.runIf(CHROMIUM !== undefined)('with keys alone', () => {
  const viewer = useViewer()
  let page: Page

  beforeAll(async () => {
    const context = await viewer.browser.newContext({ viewport: LAPTOP, serviceWorkers: 'block' })
    context.setDefaultTimeout(20_000)
    page = await context.newPage()
  }, 60_000)

  /** Presses Tab until what has the focus has this name, then a key. */
  const press = async (name: RegExp, key: string): Promise<void> => {
    for (let step = 0; step < 150; step++) {
      await page.keyboard.press('Tab')
      const words = await page.evaluate(() => {
        const element = document.activeElement
        const label = element instanceof HTMLInputElement ? element.labels?.[0]?.textContent : element?.textContent
        return element?.getAttribute('aria-label') ?? label ?? ''
      })
      if (name.test(words.trim())) return page.keyboard.press(key)
    }
    throw new Error(`nothing that takes keys is called ${name}`)
  }

  it('a person opens a run, reads whether the first start was good, and sees the evidence', async () => {
    await page.goto(viewer.site.address)
    await page.locator('.samples a').first().waitFor()
    await press(/blocked oil hose/i, 'Enter')
    await page.locator('.verdict-words', { hasText: 'Do not run the engine' }).waitFor()
    await press(/^See it 0:08: The engine runs/, 'Enter')
    await expect.poll(() => page.url()).toContain('open=finding:1')
  })

  it('asks why the gauge shows a fault', async () => {
    await page.goto(`${viewer.site.address}${RUN}/sheet`)
    await page.locator('.fault-list button').first().waitFor()
    await press(/^100\/\d+\s*Engine oil pressure/, 'Enter')
    await page.locator('article.fault', { hasText: 'What it means' }).waitFor()
    await expect.poll(() => page.evaluate(() => document.activeElement?.closest('article')?.className)).toBe('fault')
  })

  it('looks into a message of the bus', async () => {
    await page.goto(`${viewer.site.address}${RUN}/sheet`)
    await page.locator('.verdict-words').waitFor()
    await press(/^Bus$/, 'Enter')
    await page.getByRole('tab', { name: 'Nodes' }).waitFor()
    await press(/^Nodes$/, 'ArrowLeft')
    await page.getByRole('tabpanel', { name: 'Messages' }).waitFor()
    await page.locator('.message-scroll .message-row').first().waitFor()
    await press(/^Messages$/, 'ArrowDown')
    await page.keyboard.press('ArrowDown')
    await page.locator('.signals-table, .opened h2').first().waitFor()
    await expect.poll(() => page.url()).toContain('row=1')
  })

  it('compares the runs before and after a repair', async () => {
    await page.goto(`${viewer.site.address}#/compare?${PAIR}`)
    await page.locator('#changes-title').waitFor()
    await press(/^Why this grade|^Why/, 'Enter')
    await page.locator('.grounds-fold').waitFor()
  })
})
