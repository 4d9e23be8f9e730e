// Repeatable noise on whole-number lattices, and fbm that leaves out what a pixel cannot resolve.

uniform uint seed;

uint mixed(uint v) {
    v = v * 747796405u + 2891336453u;
    v = ((v >> ((v >> 28u) + 4u)) ^ v) * 277803737u;
    return (v >> 22u) ^ v;
}

float chance(ivec2 cell, uint salt) {
    return float(mixed(uint(cell.x) + mixed(uint(cell.y) + mixed(salt + seed * 977u))) >> 8) / 16777216.0;
}

float lattice(vec2 p, uint salt) {
    ivec2 cell = ivec2(floor(p));
    vec2 f = p - vec2(cell);
    f = f * f * f * (f * (f * 6.0 - 15.0) + 10.0);
    float a = chance(cell, salt), b = chance(cell + ivec2(1, 0), salt);
    float c = chance(cell + ivec2(0, 1), salt), d = chance(cell + ivec2(1, 1), salt);
    return mix(mix(a, b, f.x), mix(c, d, f.x), f.y) * 2.0 - 1.0;
}

// How much of a pattern with this wavelength survives in a pixel of this size: all or nothing, softly.
float resolved(float wavelength, float pixel) {
    return clamp(wavelength / max(pixel, 1e-6) * 0.5 - 0.5, 0.0, 1.0);
}

// -1 to 1, about; `wavelength` and `pixel` in metres.
float fbm(vec2 p, float wavelength, int octaves, float pixel, uint salt) {
    float total = 0.0, size = 0.55;
    for (int i = 0; i < octaves; i++) {
        float kept = resolved(wavelength, pixel);
        if (kept <= 0.0) break;
        vec2 turned = mat2(0.80, 0.60, -0.60, 0.80) * p;
        total += size * kept * lattice((i % 2 == 0 ? p : turned) / wavelength, salt + uint(i) * 31u);
        wavelength *= 0.47;
        size *= 0.62;
    }
    return total;
}

// sRGB (0 to 255) to linear light.
vec3 paint(float r, float g, float b) {
    vec3 c = vec3(r, g, b) / 255.0;
    return mix(c / 12.92, pow((c + 0.055) / 1.055, vec3(2.4)), step(0.04045, c));
}

// 1 inside a stripe |x| < half, softened over a pixel.
float stripe(float x, float half_width, float pixel) {
    return clamp((half_width - abs(x)) / pixel + 0.5, 0.0, 1.0) * min(1.0, 2.0 * half_width / pixel);
}

// Distance to the nearest multiple of `period`.
float nearest(float x, float period) {
    return x - period * round(x / period);
}
