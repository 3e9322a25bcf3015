/** US units reach every sentence of the analysis that the viewer shows, not only figures and plots. */
import { simulateSample } from '@firstcrank/simulator'
import type { BrowserContext, Page } from 'playwright-core'
import { beforeAll, describe, expect, it } from 'vitest'
import { CHROMIUM, useViewer } from '../support/browser.js'

/** A figure in a unit that has another one in the United States, without that one in brackets behind it. */
const METRIC = /.{0,40}\d (?:°C|kPa|MPa|km\/h|kg\/h|L\/h|mm)(?![\w/·])(?! ?\([−\d]).{0,20}/g

describe.runIf(CHROMIUM !== undefined)('US units', () => {
  const viewer = useViewer()
  let context: BrowserContext
  let page: Page

  beforeAll(async () => {
    context = await viewer.browser.newContext({ viewport: { width: 1366, height: 768 }, serviceWorkers: 'block' })
    page = await context.newPage()
    page.setDefaultTimeout(15_000)
    await page.addInitScript(() =>
      localStorage.setItem('firstcrank.settings', JSON.stringify({ theme: 'day', units: 'us' })),
    )
  }, 60_000)

  const openRun = async (file: string): Promise<void> => {
    const buffer = Buffer.from([...simulateSample(file).chunks].join(''))
    await page.goto(viewer.site.address)
    await page.setInputFiles('input[type=file]', { name: file, mimeType: 'text/plain', buffer })
    await page.locator('.verdict-words').waitFor()
  }
  /** All words of the page, folded ones too, and what is only read out. */
  const words = () =>
    page.evaluate(() =>
      [
        ...[...document.querySelectorAll('main :is(p, li, dd, dt, td, th, h2, h3, summary, label, figcaption)')]
          .filter((element) => element.querySelector('p, li, dd, td, ul, ol, table') === null)
          .map((element) => element.textContent),
        ...[...document.querySelectorAll('main [aria-label], main [title]')].flatMap((element) => [
          element.getAttribute('aria-label'),
          element.getAttribute('title'),
        ]),
      ].join('\n'),
    )
  const left = async (): Promise<readonly string[]> => [...new Set((await words()).match(METRIC) ?? [])]

  it.each(['blocked-oil-hose.log', 'five-volt-short.log.gz', 'heater-link-open.log.gz'])(
    'stand in every sentence of the sheet of %s, its faults and its notes',
    async (file) => {
      await openRun(file)
      expect(await words()).toMatch(/\d (kPa|°C) \([−\d.,]+(?: to [−\d.,]+)? (psi|°F)\)/)
      expect(await left()).toEqual([])
      const faults = page.locator('.fault-list button')
      for (let index = 0; index < Math.min(4, await faults.count()); index++) {
        await faults.nth(index).click()
        await page.locator('article.fault').waitFor()
        expect(await left()).toEqual([])
        await page.getByRole('button', { name: 'Back to all findings' }).click()
      }
      await page.getByRole('link', { name: 'Notes', exact: true }).click()
      await page.getByRole('heading', { name: 'Checks by hand' }).waitFor()
      expect(await left()).toEqual([])
    },
  )

  it('stand in the report', async () => {
    await openRun('blocked-oil-hose.log')
    await page.getByRole('link', { name: 'Report', exact: true }).click()
    await page.locator('.report-paper').getByText(/psi/).first().waitFor()
  })

  it('stand in what is said of two runs', async () => {
    await page.goto(
      `${viewer.site.address}#/compare?before=sample:pedal-wiper-before.log.gz&after=sample:pedal-wiper-after.log.gz`,
    )
    await page.getByRole('heading', { name: 'What else changed' }).waitFor({ timeout: 60_000 })
    await page.locator('.fault-fold summary').first().click()
    await page.evaluate(() => {
      for (const fold of document.querySelectorAll<HTMLDetailsElement>('main details'))
        if (fold.closest('.fault-fold') === null) fold.open = true
    })
    expect(await left()).toEqual([])
    expect(await words()).toMatch(/°F|psi|mph/)
  }, 90_000)

  it('go back to what the bus says', async () => {
    await openRun('blocked-oil-hose.log')
    await page.getByRole('button', { name: 'Metric', exact: true }).click()
    await expect.poll(words).not.toMatch(/psi|°F/)
  })
})
