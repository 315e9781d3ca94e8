//! A plain generator of random numbers (xorshift64*, Vigna 2016), apart from the one that estimates use.

#[derive(Clone, Debug)]
pub struct Luck(u64);

impl Luck {
    pub fn new(seed: u64) -> Luck {
        let mut luck = Luck(seed.wrapping_mul(0x2545_f491_4f6c_dd1d) ^ 0x1234_5678_9abc_def1);
        for _ in 0..8 {
            luck.next();
        }
        luck
    }

    pub fn next(&mut self) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        self.0.wrapping_mul(0x2545_f491_4f6c_dd1d)
    }

    pub fn share(&mut self) -> f64 {
        ((self.next() >> 11) as f64 + 0.5) / (1u64 << 53) as f64
    }

    pub fn chance(&mut self, p: f64) -> bool {
        self.share() < p
    }

    pub fn below(&mut self, n: usize) -> usize {
        (self.share() * n as f64) as usize
    }

    /// Standard normal (Box and Muller 1958).
    pub fn normal(&mut self) -> f64 {
        let (a, b) = (self.share(), self.share());
        (-2.0 * a.ln()).sqrt() * (std::f64::consts::TAU * b).cos()
    }

    /// Lognormal with this median.
    pub fn about(&mut self, median: f64, sigma: f64) -> f64 {
        median * (sigma * self.normal()).exp()
    }

    pub fn exponential(&mut self, mean: f64) -> f64 {
        -mean * self.share().ln()
    }

    pub fn poisson(&mut self, mean: f64) -> usize {
        let (limit, mut product, mut count) = ((-mean).exp(), 1.0, 0);
        loop {
            product *= self.share();
            if product <= limit {
                return count;
            }
            count += 1;
        }
    }
}
