"""Things to drop and collide, at sizes found in a classroom."""

from hypothesis import strategies as st

drop_heights = st.floats(0.05, 10)  # m: a table to a stairwell
restitutions = st.floats(0.05, 1)
speeds = st.floats(0.05, 15)  # m/s
drag_constants = st.one_of(
    st.just(0.0),
    st.floats(1e-12, 1e-3),
    st.floats(1e-3, 0.8),  # 1/m: a basketball to a balloon
)

masses = st.floats(1e-2, 1e2)  # kg: mass ratios up to 10 000
velocities = st.floats(-20, 20)  # m/s
any_restitution = st.floats(0, 1)  # a body of clay included
