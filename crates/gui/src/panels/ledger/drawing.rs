//! The ledger as bands: in from the left, out and held to the right, all at one scale.

use egui::accesskit::Role;
use egui::{
    Align2, Color32, Mesh, Painter, Pos2, Rect, ScrollArea, Sense, Shape, Stroke, Ui, UiBuilder,
    WidgetInfo, pos2, vec2,
};

use crate::ledger::{Band, Bands, Line, Sheet, bands, least_height, quantity_name};
use crate::number::{joined, three};
use crate::plots::round_step;
use crate::theme::{font, size, space};
use crate::view_ctx::ViewCtx;
use crate::words::solute;

/// Height that a name with its amount needs.
const SLOT: f64 = 30.0;
/// Height of the line with scale and legend.
const FOOT: f32 = 26.0;
/// Width of the trunk.
const TRUNK: f32 = 84.0;
/// Pieces of a bent band.
const PIECES: u16 = 24;

/// Draws the bands into `rect`, above them nothing, below them what widths and shades mean.
pub fn drawing_ui(
    ctx: &ViewCtx<'_>,
    ui: &mut Ui,
    rect: Rect,
    sheet: &Sheet,
    lead: &str,
    stretch: &str,
) {
    let body = Rect::from_min_max(rect.min, pos2(rect.right(), rect.bottom() - FOOT));
    let lines = sheet.left.len().max(sheet.right.len());
    #[expect(clippy::cast_possible_truncation, reason = "points on a screen")]
    let least = least_height(lines, SLOT).max(SLOT) as f32 + 1.0;
    let high = least.max(body.height());
    let amounts = |side: &[Line]| side.iter().map(|l| l.amount).collect::<Vec<f64>>();
    let found = bands(
        &amounts(&sheet.left),
        &amounts(&sheet.right),
        f64::from(high),
        SLOT,
    );
    let mut child = ui.new_child(UiBuilder::new().max_rect(body).id_salt("bands"));
    let Some(found) = found else {
        child.centered_and_justified(|ui| {
            let words = format!(
                "No {} crossed the boundary in this stretch.",
                quantity_name(&sheet.key).to_lowercase()
            );
            ui.label(egui::RichText::new(words).color(ctx.palette.quiet));
        });
        return;
    };
    ScrollArea::vertical()
        .auto_shrink([false, false])
        .show(&mut child, |ui| {
            let size = vec2(ui.available_width() - space::NEAR, high);
            let (area, response) = ui.allocate_exact_size(size, Sense::hover());
            let said = said(ctx, sheet, stretch);
            response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, &said));
            let picture = Picture {
                ctx,
                sheet,
                lead,
                area,
            };
            picture.show(ui, &found);
        });
    let foot = Rect::from_min_max(pos2(rect.left(), rect.bottom() - FOOT), rect.max);
    foot_ui(ctx, ui, foot, sheet, &found);
}

struct Picture<'a> {
    ctx: &'a ViewCtx<'a>,
    sheet: &'a Sheet,
    lead: &'a str,
    area: Rect,
}

#[expect(clippy::cast_possible_truncation, reason = "points on a screen")]
const fn px(points: f64) -> f32 {
    points as f32
}

impl Picture<'_> {
    fn show(&self, ui: &Ui, found: &Bands) {
        let painter = ui.painter();
        let wide = |lines: &[Line]| self.label_width(painter, lines);
        let area = self.area;
        let middle =
            0.5 * (area.left() + wide(&self.sheet.left) + area.right() - wide(&self.sheet.right));
        let (from, to) = (middle - 0.5 * TRUNK, middle + 0.5 * TRUNK);
        let outer_left = area.left() + wide(&self.sheet.left) + space::NEAR;
        let outer_right = area.right() - wide(&self.sheet.right) - space::NEAR;
        for (line, band) in self.sheet.left.iter().zip(&found.left) {
            self.band(painter, line, band, (outer_left, from));
            self.label(ui, line, band, true);
        }
        for (line, band) in self.sheet.right.iter().zip(&found.right) {
            self.band(painter, line, band, (outer_right, to));
            self.label(ui, line, band, false);
        }
        let palette = self.ctx.palette;
        let top = area.top() + px(found.trunk_top);
        let trunk = Rect::from_min_max(pos2(from, top), pos2(to, top + px(found.trunk).max(1.0)));
        painter.rect_filled(trunk, 0.0, palette.tint(palette.ink, 0.12));
        let total = self.sheet.left.iter().map(|l| l.amount).sum::<f64>();
        let total = total.max(self.sheet.right.iter().map(|l| l.amount).sum());
        let at = trunk.center();
        let name = quantity_name(&self.sheet.key);
        let amount = joined(self.sheet.told(total, self.ctx.prefs.system));
        for (text, points, align) in [
            (name, size::BODY, Align2::CENTER_BOTTOM),
            (amount, size::SMALL, Align2::CENTER_TOP),
        ] {
            painter.text(at, align, text, font(points), palette.ink);
        }
    }

    /// Room that the names of a side need.
    fn label_width(&self, painter: &Painter, lines: &[Line]) -> f32 {
        let width = |text: String, points: f32| {
            let galley = painter.layout_no_wrap(text, font(points), Color32::PLACEHOLDER);
            galley.size().x
        };
        let each = lines.iter().map(|l| {
            width(l.name.clone(), size::BODY).max(width(self.amount_words(l), size::SMALL))
        });
        each.fold(0.0, f32::max)
    }

    fn amount_words(&self, line: &Line) -> String {
        joined(self.sheet.told(line.amount, self.ctx.prefs.system))
    }

    fn color(&self, line: &Line) -> Color32 {
        let palette = self.ctx.palette;
        let scale = self.ctx.scene.map(|s| s.scale);
        match (line.strength, scale) {
            (Some(strength), Some(scale)) if !self.sheet.is_energy() => {
                palette.liquid(scale.share(strength))
            }
            _ => palette.tint(palette.quiet, 0.45),
        }
    }

    /// A band from its place at the outer edge, at `x.0`, to the trunk at `x.1`.
    fn band(&self, painter: &Painter, line: &Line, band: &Band, x: (f32, f32)) {
        let color = self.color(line);
        let top = self.area.top();
        let outer = top + px(band.middle() - 0.5 * band.width);
        let inner = top + px(band.stacked);
        let at = |piece: u16, begin: f32, end: f32| {
            let share = f32::from(piece) / f32::from(PIECES);
            let bent = share * share * (3.0 - 2.0 * share);
            pos2(x.0 + share * (x.1 - x.0), begin + bent * (end - begin))
        };
        if band.is_hairline() {
            let path: Vec<Pos2> = (0..=PIECES).map(|i| at(i, outer, inner)).collect();
            let stroke = Stroke::new(1.0, self.ctx.palette.quiet);
            painter.extend(Shape::dashed_line(&path, stroke, 3.0, 3.0));
            return;
        }
        let mut mesh = Mesh::default();
        let width = vec2(0.0, px(band.width));
        for piece in 0..=PIECES {
            let upper = at(piece, outer, inner);
            mesh.colored_vertex(upper, color);
            mesh.colored_vertex(upper + width, color);
            if piece > 0 {
                let last = 2 * u32::from(piece);
                mesh.add_triangle(last - 2, last - 1, last);
                mesh.add_triangle(last - 1, last + 1, last);
            }
        }
        painter.add(mesh);
        // An edge keeps pale bands apart from the sheet and from one another.
        let edge = Stroke::new(0.5, self.ctx.palette.tint(self.ctx.palette.quiet, 0.7));
        for below in [vec2(0.0, 0.0), width] {
            let path = (0..=PIECES).map(|i| at(i, outer, inner) + below).collect();
            painter.add(Shape::line(path, edge));
        }
    }

    fn label(&self, ui: &Ui, line: &Line, band: &Band, is_left: bool) {
        let palette = self.ctx.palette;
        let y = self.area.top() + px(band.middle());
        let (x, upper, lower) = if is_left {
            (self.area.left(), Align2::LEFT_BOTTOM, Align2::LEFT_TOP)
        } else {
            (self.area.right(), Align2::RIGHT_BOTTOM, Align2::RIGHT_TOP)
        };
        let at = pos2(x, y);
        let painter = ui.painter();
        let name = painter.text(at, upper, &line.name, font(size::BODY), palette.ink);
        let amount = painter.text(
            at,
            lower,
            self.amount_words(line),
            font(size::SMALL),
            palette.quiet,
        );
        let id = ui.scope_id().with(("band", is_left, &line.name));
        let response = ui.interact(name.union(amount), id, Sense::hover());
        response.on_hover_text(self.hint(line, band, is_left));
    }

    fn hint(&self, line: &Line, band: &Band, is_left: bool) -> String {
        let all = if is_left {
            &self.sheet.left
        } else {
            &self.sheet.right
        };
        let total: f64 = all.iter().map(|l| l.amount).sum();
        let mut hint = format!(
            "{}: {}, {} % of this side.",
            line.name,
            self.amount_words(line),
            three(100.0 * line.amount / total, 3)
        );
        if let Some(strength) = line.strength.filter(|s| *s > 0.0) {
            let told = joined(crate::number::strength(strength, self.ctx.prefs.system));
            hint.push_str(&format!(" {} in its water: {told}.", solute(self.lead)));
        }
        if band.is_hairline() {
            hint.push_str(" Too thin to be drawn to scale.");
        }
        hint
    }
}

/// The drawing in words, for those who do not see it.
fn said(ctx: &ViewCtx<'_>, sheet: &Sheet, stretch: &str) -> String {
    let told = |value: f64| joined(sheet.told(value, ctx.prefs.system));
    let side = |lines: &[Line]| {
        let each = lines
            .iter()
            .map(|l| format!("{} {}", l.name, told(l.amount)));
        each.collect::<Vec<_>>().join(", ")
    };
    format!(
        "{}, {stretch}. In: {}. Out and held: {}. Closure error {}.",
        quantity_name(&sheet.key),
        side(&sheet.left),
        side(&sheet.right),
        sheet.error_words()
    )
}

/// What widths, dashes and shades mean.
fn foot_ui(ctx: &ViewCtx<'_>, ui: &Ui, rect: Rect, sheet: &Sheet, found: &Bands) {
    let painter = ui.painter();
    let palette = ctx.palette;
    let y = rect.center().y;
    let mut x = rect.left();
    let write = |x: &mut f32, text: &str| {
        let at = pos2(*x, y);
        let rect = painter.text(
            at,
            Align2::LEFT_CENTER,
            text,
            font(size::SMALL),
            palette.quiet,
        );
        *x = rect.right() + space::WIDE;
    };
    // A round amount that makes a bar of some twenty points.
    let amount = sheet.rounded(20.0 / found.scale, ctx.prefs.system, |x| round_step(x, 1.0));
    let high = px(amount * found.scale).min(FOOT);
    let bar = Rect::from_center_size(pos2(x + 3.0, y), vec2(6.0, high));
    painter.rect_filled(bar, 0.0, palette.quiet);
    x += 6.0 + space::NEAR;
    let told = joined(sheet.told(amount, ctx.prefs.system));
    write(&mut x, &format!("width of {told}"));
    if found.left.iter().chain(&found.right).any(Band::is_hairline) {
        let path = [pos2(x, y), pos2(x + 18.0, y)];
        let stroke = Stroke::new(1.0, palette.quiet);
        painter.extend(Shape::dashed_line(&path, stroke, 3.0, 3.0));
        x += 18.0 + space::NEAR;
        write(&mut x, "too thin to scale");
    }
    if !sheet.is_energy() && ctx.scene.is_some() {
        write(&mut x, "water");
        x -= space::NEAR;
        for step in 0..24_u8 {
            let share = f64::from(step) / 23.0;
            let at = Rect::from_min_size(pos2(x + 3.0 * f32::from(step), y - 5.0), vec2(3.0, 10.0));
            painter.rect_filled(at, 0.0, palette.liquid(share));
        }
        x += 72.0 + space::NEAR;
        write(&mut x, "bath strength");
    }
}
