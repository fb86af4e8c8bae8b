//! Fields cut in order, with known truth: what came off so far, as it was read, and what is truly left.
//!
//! Log yield along the order of cutting is a level of the field plus a first-order autoregression on pieces of a
//! tenth of a hectare. Limitations: one crop, one machine; wagons are a room, not a queue.

use numeric::stream::Stream;

/// What a field may do that a forecast does not expect.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fields {
    /// Standard deviation of the log of a field's level about what the farm expects.
    pub level_sd: f64,
    /// Standard deviation of log yield within the field.
    pub within_sd: f64,
    /// Hectares of cutting over which it keeps to itself.
    pub reach_ha: f64,
    /// Mean shift of the log of yield over the last tenth cut: poor ends below 0.
    pub end: f64,
}

/// A field part of the way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PartCut {
    /// What the farm expects of it, kilograms a hectare.
    pub expected_kg_per_ha: f64,
    /// Hectares cut, as told: what is planted less what is thought left.
    pub cut_ha: f64,
    /// Hectares left, as told.
    pub left_ha: f64,
    /// Standard error of those, hectares.
    pub left_sd_ha: f64,
    /// Grain that came off, as read, kilograms.
    pub read_kg: f64,
    /// Standard error of the reading, as a share.
    pub read_error: f64,
    /// Grain truly left, kilograms.
    pub left_kg: f64,
}

const PIECE_HA: f64 = 0.1;

impl Fields {
    /// A field of 8 to 60 ha of which the share `cut` is in the wagons, its area told to one part in
    /// twenty or so of the smaller part and its grain read to 2 to 6 parts in a hundred.
    pub fn field(&self, cut: f64, stream: &mut Stream) -> PartCut {
        let expected = stream.between(2_500.0, 12_000.0);
        let pieces = stream.whole(80, 600).max(1) as usize;
        let done = ((pieces as f64 * cut).round() as usize).min(pieces - 1);
        // the mean over the field, not its middle, is what a farm expects
        let level = self.level_sd * stream.normal() - 0.5 * self.within_sd.powi(2);
        let keep = (-PIECE_HA / self.reach_ha).exp();
        let fresh = (1.0 - keep * keep).sqrt();
        let mut drift = stream.normal();
        let (mut off, mut left_kg) = (0.0, 0.0);
        for nth in 0..pieces {
            let end = if 10 * nth >= 9 * pieces {
                self.end
            } else {
                0.0
            };
            let grain = PIECE_HA * expected * (level + self.within_sd * drift + end).exp();
            if nth < done {
                off += grain;
            } else {
                left_kg += grain;
            }
            drift = keep * drift + fresh * stream.normal();
        }
        let all_ha = PIECE_HA * pieces as f64;
        let truly_left = PIECE_HA * (pieces - done) as f64;
        // nothing cut: the whole field is left, and nobody guesses
        let told = if done == 0 {
            0.0
        } else {
            stream.between(0.01, 0.06)
        };
        // people err on the smaller part: three acres are seen at a glance, whichever three they are
        let smaller = truly_left.min(all_ha - truly_left);
        let left_sd_ha = told * smaller;
        let left_ha = (truly_left + left_sd_ha * stream.normal()).clamp(0.5 * truly_left, all_ha);
        let read_error = stream.between(0.02, 0.06);
        PartCut {
            expected_kg_per_ha: expected,
            cut_ha: all_ha - left_ha,
            left_ha,
            left_sd_ha,
            read_kg: off * (read_error * stream.normal()).exp(),
            read_error,
            left_kg,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn grain_is_what_the_fields_say() {
        let fields = Fields {
            level_sd: 0.2,
            within_sd: 0.12,
            reach_ha: 1.2,
            end: 0.0,
        };
        let n = 2_000;
        let logs: Vec<f64> = (0..n)
            .map(|nth| {
                let one = fields.field(0.5, &mut Stream::new(1, "wagon test", nth));
                assert!(one.cut_ha > 0.0 && one.left_kg > 0.0 && one.read_kg > 0.0);
                (one.left_kg / one.left_ha / one.expected_kg_per_ha).ln()
            })
            .collect();
        let mean = logs.iter().sum::<f64>() / n as f64;
        let sd = (logs.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / n as f64).sqrt();
        assert!(
            mean.abs() < 0.03 && (0.19..0.24).contains(&sd),
            "{mean} {sd}"
        );
        let same = |seed| fields.field(0.3, &mut Stream::new(seed, "wagon test", 0));
        assert!(same(1) == same(1) && same(1) != same(2));
    }
}
