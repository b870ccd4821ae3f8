//! The look of the page: warm paper, dark ink, one accent for what is to be looked at.

/// The ground.
pub(super) const PAPER: (u8, u8, u8) = (0xf6, 0xf2, 0xe9);
/// Text and lines that count.
pub(super) const INK: (u8, u8, u8) = (0x1b, 0x1c, 0x1f);
/// Secondary text.
pub(super) const MUTED: (u8, u8, u8) = (0x5f, 0x5b, 0x52);
/// Lines that only divide.
pub(super) const LINE: (u8, u8, u8) = (0xcf, 0xc8, 0xb8);
/// "Look here".
pub(super) const ACCENT: (u8, u8, u8) = (0x8a, 0x5a, 0x00);

/// The page's own style sheet; the fonts are whatever the reader has.
pub(super) const STYLE: &str = "
:root{--paper:#f6f2e9;--card:#fbf9f3;--ink:#1b1c1f;--muted:#5f5b52;--line:#cfc8b8;--accent:#8a5a00}
*{box-sizing:border-box}
body{margin:0 auto;max-width:64rem;padding:1.5rem 1.25rem 3rem;background:var(--paper);color:var(--ink);
font:1.0625rem/1.5 'B612',Verdana,'DejaVu Sans',sans-serif;-webkit-print-color-adjust:exact;print-color-adjust:exact}
h1{font-size:2.25rem;line-height:1.1;margin:0 0 .25rem}
h2{font-size:1.375rem;line-height:1.25;margin:0 0 .5rem}
h3{font-size:1.0625rem;margin:1.25rem 0 .25rem}
p{margin:.25rem 0 .75rem;max-width:44rem}
.lead{font-size:1.25rem}
.caution{border-left:.25rem solid var(--accent);padding-left:.75rem}
.muted,small,caption{color:var(--muted);font-size:.9375rem}
.look{color:var(--accent);font-weight:bold}
section{border-top:2px solid var(--ink);padding-top:.75rem;margin-top:2rem}
table{border-collapse:collapse;width:100%;margin:.5rem 0 1rem;font-variant-numeric:tabular-nums}
th,td{text-align:left;padding:.3rem .75rem .3rem 0;border-bottom:1px solid var(--line);vertical-align:top}
th{color:var(--muted);font-weight:normal;font-size:.9375rem}
td.n,th.n{text-align:right;white-space:nowrap}
td.range{width:32%;min-width:8rem}
.wide,figure{overflow-x:auto;margin:0 0 1rem}
figure svg{display:block;width:100%;min-width:40rem;height:auto}
.pair{display:grid;grid-template-columns:repeat(auto-fit,minmax(14rem,1fr));gap:.75rem;margin:.5rem 0 .75rem}
.card{background:var(--card);border:1px solid var(--line);border-radius:.4rem;padding:.6rem .8rem}
.card b{display:block;font-size:1.25rem}
.stills{display:flex;flex-wrap:wrap;gap:.5rem;margin:.5rem 0}
.stills figure{margin:0;flex:1 1 10rem;max-width:18rem;overflow:visible}
.stills img{display:block;width:100%;height:auto;border:1px solid var(--line)}
.stills figure svg{min-width:0;border:1px solid var(--line)}
.stills.placed figure{flex-basis:20rem;max-width:30rem}
.stills figcaption{color:var(--muted);font-size:.8125rem}
.card ul{margin:.4rem 0 0;padding-left:1.1rem}
.track{position:relative;height:1.1rem;margin-top:.25rem;border-bottom:1px solid var(--line)}
.track i{position:absolute;bottom:.3rem;height:.3rem;background:var(--ink);min-width:2px}
.track b{position:absolute;bottom:.05rem;width:.8rem;height:.8rem;margin-left:-.4rem;border-radius:50%;background:var(--ink)}
.track.look i,.track.look b{background:var(--accent)}
@media (max-width:40rem){body{padding:1rem .75rem 2rem}h1{font-size:1.75rem}td,th{padding-right:.4rem}td.range{min-width:5rem}}
@media print{body{max-width:none;padding:0;font-size:10.5pt}section,.card,tr,figure{break-inside:avoid}h2,h3{break-after:avoid}
section{break-inside:auto}figure svg{min-width:0}}
";

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance and contrast of WCAG 2.1.
    fn contrast(one: (u8, u8, u8), other: (u8, u8, u8)) -> f64 {
        let channel = |value: u8| {
            let share = f64::from(value) / 255.0;
            if share <= 0.039_28 { share / 12.92 } else { ((share + 0.055) / 1.055).powf(2.4) }
        };
        let luminance = |(r, g, b)| 0.2126 * channel(r) + 0.7152 * channel(g) + 0.0722 * channel(b);
        let (one, other) = (luminance(one), luminance(other));
        (one.max(other) + 0.05) / (one.min(other) + 0.05)
    }

    #[test]
    fn every_colour_of_text_holds_four_and_a_half_to_one_and_is_the_sheets() {
        assert!((contrast((0, 0, 0), (255, 255, 255)) - 21.0).abs() < 1e-9);
        for (name, colour) in [("ink", INK), ("muted", MUTED), ("accent", ACCENT)] {
            assert!(contrast(colour, PAPER) >= 4.5, "{name}: {}", contrast(colour, PAPER));
            let (r, g, b) = colour;
            assert!(STYLE.contains(&format!("--{name}:#{r:02x}{g:02x}{b:02x}")), "{name}");
        }
    }
}
