# criterion: the float ends in the dock
# criterion: the hull keeps clear
# criterion: the arm is stowed
# mistake: the arm's pin gets no pulses
print('wind up')
print('swing')
print('in the dock')
