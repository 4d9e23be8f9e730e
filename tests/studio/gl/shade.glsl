// Light on a surface: a sun with a soft terminator, sky from above, the ground from below.

uniform vec3 sun_way;
uniform vec3 sun_light;
uniform vec3 sky_light;
uniform vec3 ground_light;

vec3 linear(vec3 c) {
    return mix(c / 12.92, pow((c + 0.055) / 1.055, vec3(2.4)), step(0.04045, c));
}

// `sunny` and `open`: shares of sun and of sky that reach the place. `gloss`: 0 cloth to 1 metal.
vec3 shaded(vec3 albedo, vec3 normal, vec3 to_eye, float sunny, float open, float gloss) {
    float facing = dot(normal, sun_way);
    float sun = (facing > 0.0 ? facing : 0.0) * 0.9 + 0.1 * smoothstep(-0.35, 0.5, facing);
    vec3 around = mix(ground_light, sky_light, 0.5 + 0.5 * normal.z);
    vec3 light = albedo * (sun_light * sun * sunny + around * open);
    vec3 half_way = normalize(sun_way + to_eye);
    float shine = pow(max(dot(normal, half_way), 0.0), mix(12.0, 70.0, gloss));
    float rim = pow(1.0 - max(dot(normal, to_eye), 0.0), 4.0);
    light += sun_light * sunny * shine * mix(0.035, 0.9, gloss) + around * open * rim * mix(0.05, 0.45, gloss);
    return light;
}
