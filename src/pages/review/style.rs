//! How the page looks: dark ink on white, print first, a phone as well.

/// Every ink on every ground that it stands on has a contrast of at least 7 : 1 (WCAG 2.2, 1.4.6).
pub(super) const SHEET: &str = "
:root { --ink: #16202b; --soft: #3d4a57; --ground: #ffffff; --band: #f1f4f6; --rule: #b9c4cd; --mark: #0b4a53; }
* { box-sizing: border-box; }
body { margin: 0; background: var(--ground); color: var(--ink); font: 15px/1.5 'Source Sans 3', 'Noto Sans', 'Segoe UI', Helvetica, Arial, sans-serif; }
main { max-width: 820px; margin: 0 auto; padding: 28px 20px 48px; }
h1 { font-size: 30px; line-height: 1.15; margin: 0 0 8px; letter-spacing: -0.01em; }
h2 { font-size: 17px; margin: 34px 0 10px; padding-top: 10px; border-top: 2px solid var(--ink); }
h3 { font-size: 15px; margin: 18px 0 6px; }
p { margin: 0 0 8px; }
.kicker { color: var(--soft); margin-bottom: 4px; }
.caution { border-left: 4px solid var(--mark); padding: 4px 0 4px 12px; color: var(--soft); margin-top: 12px; }
.note, small { color: var(--soft); font-size: 13px; }
.mono, code { font-family: 'JetBrains Mono', 'Noto Sans Mono', Consolas, Menlo, monospace; font-size: 12px; overflow-wrap: anywhere; }
.verdict { border: 2px solid var(--ink); padding: 14px 18px; margin: 14px 0; break-inside: avoid; }
.verdict .label { font-size: 25px; font-weight: 700; line-height: 1.2; margin: 0 0 2px; }
.said { font-size: 19px; line-height: 1.4; margin: 14px 0; }
dl { display: grid; grid-template-columns: minmax(110px, max-content) 1fr; gap: 3px 18px; margin: 0 0 8px; }
dt { color: var(--soft); } dd { margin: 0; }
table { border-collapse: collapse; width: 100%; margin: 6px 0 10px; font-variant-numeric: tabular-nums; }
th, td { text-align: left; vertical-align: top; padding: 5px 10px 5px 0; border-bottom: 1px solid var(--rule); }
th { font-weight: 600; color: var(--soft); }
td.num, th.num { text-align: right; padding-right: 18px; white-space: nowrap; }
tr { break-inside: avoid; } table.short { break-inside: avoid; } table.narrow { width: auto; } table.narrow th, table.narrow td { padding-right: 26px; }
tr.changed td { background: var(--band); font-weight: 600; }
ol.path { list-style: none; margin: 8px 0; padding: 0; }
ol.path li { position: relative; padding: 0 0 14px 26px; break-inside: avoid; }
ol.path li::before { content: ''; position: absolute; left: 4px; top: 6px; width: 9px; height: 9px; border: 2px solid var(--ink); border-radius: 50%; background: var(--ink); }
ol.path li.open::before { background: var(--ground); }
ol.path li::after { content: ''; position: absolute; left: 9px; top: 20px; bottom: -6px; width: 2px; background: var(--rule); }
ol.path li.last::after { display: none; }
ol.path .ask { font-weight: 600; }
ol.path .answer { font-weight: 700; color: var(--mark); }
ul.plain { margin: 4px 0 8px; padding-left: 20px; }
.stills { display: flex; flex-wrap: wrap; gap: 12px; margin: 6px 0; }
.stills figure { margin: 0; flex: 1 1 240px; max-width: 380px; break-inside: avoid; }
.stills.placed figure { flex-basis: 320px; }
.stills svg { margin: 0; border: 1px solid var(--rule); }
.stills img { display: block; width: 100%; height: auto; border: 1px solid var(--rule); }
.stills figcaption { color: var(--soft); font-size: 12px; }
svg { display: block; width: 100%; height: auto; margin: 10px 0 6px; }
.hash { white-space: nowrap; }
i { font-style: normal; font-weight: 600; }
.gone td { color: var(--soft); text-decoration: line-through; }
@media (max-width: 560px) {
  main { padding: 18px 14px 36px; }
  h1 { font-size: 25px; }
  dl { grid-template-columns: 1fr; gap: 0; } dd { margin-bottom: 7px; }
  .acts .hash { display: none; }
  th, td { padding-right: 8px; }
}
@media print {
  @page { size: A4; margin: 16mm 15mm; }
  body { font-size: 10pt; line-height: 1.4; } main { max-width: none; padding: 0; }
  h2 { margin-top: 20px; } th, td { padding-top: 3px; padding-bottom: 3px; } .said { font-size: 13pt; margin: 10px 0; }
  ol.path li { padding-bottom: 9px; }
  h2 { break-after: avoid; } h3 { break-after: avoid; }
  .acts { font-size: 9pt; }
}
";

#[cfg(test)]
mod tests {
    use super::SHEET;

    /// The colour of this name in the sheet, as its relative luminance (WCAG 2.2, definition of relative luminance).
    fn luminance(name: &str) -> f64 {
        let start = SHEET.find(&format!("--{name}: #")).expect("it is in the sheet") + name.len() + 5;
        let hex = &SHEET[start..start + 6];
        let channel = |at: usize| {
            let value = u8::from_str_radix(&hex[at..at + 2], 16).expect("a colour");
            let share = f64::from(value) / 255.0;
            if share <= 0.04045 { share / 12.92 } else { ((share + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * channel(0) + 0.7152 * channel(2) + 0.0722 * channel(4)
    }

    // PROPERTY: the page's inks have a contrast of 7
    #[test]
    fn every_ink_has_a_contrast_of_seven_on_every_ground() {
        for ink in ["ink", "soft", "mark"] {
            for ground in ["ground", "band"] {
                let contrast = (luminance(ground) + 0.05) / (luminance(ink) + 0.05);
                assert!(contrast >= 7.0, "{ink} on {ground}: {contrast:.2}");
            }
        }
    }

    #[test]
    fn the_sheet_asks_for_nothing_from_elsewhere() {
        for outside in ["url(", "@import", "http"] {
            assert!(!SHEET.contains(outside), "{outside}");
        }
    }
}
